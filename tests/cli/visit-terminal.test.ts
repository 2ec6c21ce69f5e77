// A walk at a real terminal of 60 columns, without colour: keys that fit and keys that do not, timers, Ctrl-C in
// the middle, and the same visit taken up again to its end. Runs the built command line.

import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { temporaryFolder } from '../support/card-images.ts';
import { pumpImage, pumpRule, releaseText } from '../support/pump-workspace.ts';
import { runCli } from '../support/run-cli.ts';
import { openTerminal, type TerminalWindow } from '../support/tmux.ts';

const bin = join(import.meta.dirname, '../../bin/slotproof.js');
const serial = 'TRB00000018';

const product = `manifest: product
format: 1
id: rill-40
maker: Tarnholt
name: Rill 40 pump drive
source: { document: Rill 40 service book, issue: C }
writtenBy: J. Marl
checkedBy: O. Fenwright
helpline: { phone: '+00 555 0134' }
hazards: [stored-charge]
hardware: [A, B]
serial: { pattern: '^TR(?<hardware>[A-D])[0-9]{8}$', check: luhn }
versions: dotted
card:
${pumpRule}
lights: [{ id: run, label: RUN, colour: green }, { id: data, label: DATA, colour: white }]
patterns:
  - { id: writing, means: It takes the firmware in, busy: true, shows: { run: { perMinute: 60 } } }
  - { id: taken, means: Taken in, shows: { run: on } }
positions:
  array: { states: [connected, isolated], starts: connected, ends: connected }
  card: { states: [out, in], starts: out, ends: out }
never: [{ when: { card: in, array: connected }, why: The pump could start }]
whileBusy: { card: in, array: isolated }
serves: [The run light stays on]
procedure:
  - { id: stop, do: Open and lock the array isolator, sets: { array: isolated } }
  - { id: discharge, wait: 1s, orPlate: true, why: Its capacitors hold a charge }
  - { id: dead, measure: { what: DC link voltage, between: [plus and minus, plus and earth], in: V, from: -50, to: 50, proveMeter: true }, otherwise: live }
  - { id: insert, do: Slide the card in, needs: { array: isolated }, sets: { card: in } }
  - { id: start, hold: LOAD, for: [1s, 2s] }
  - { id: look, watch: { writing: look, taken: out }, within: 10min, late: alone, unlisted: alone }
  - { id: out, do: Slide the card out by its tab, sets: { card: out } }
  - { id: after, read: version, where: Display, other: bad, unreadable: bad }
  - { id: restart, do: Close the array isolator, needs: { card: out }, sets: { array: connected } }
  - { id: serving, confirm: serves, otherwise: off }
  - { id: finished, end: updated }
  - { id: off, do: Open and lock the array isolator, sets: { array: isolated } }
  - { id: bad, do: Call the service lead }
  - { id: ended-badly, end: failed, leaves: { array: isolated } }
  - { id: alone, do: Leave everything alone and call the helpline }
  - { id: ended-busy, end: failed, leaves: { array: isolated, card: in } }
  - { id: live, do: Treat it as live }
  - { id: not-begun, end: deferred, leaves: { array: isolated } }
`;

let workspace = '';
let window: TerminalWindow | undefined;
const card = () => join(workspace, 'tonight.img');
const run = (...args: string[]) => runCli(args, { workspace });

beforeAll(async () => {
  workspace = temporaryFolder();
  mkdirSync(join(workspace, 'manifests'));
  writeFileSync(join(workspace, 'manifests/rill-40.yaml'), product);
  writeFileSync(
    join(workspace, 'manifests/rill-40-4.2.0.yaml'),
    releaseText('4.2.0', 2, pumpImage, 'resets: [bus address]'),
  );
  writeFileSync(join(workspace, 'RILL40.FWU'), pumpImage);
  const added = await run(
    'units',
    'add',
    serial,
    '--site',
    'Alder Farm',
    '--version',
    '4.1.0',
    '--as',
    'R. Quill',
    '--json',
  );
  expect(added.json.error).toBeUndefined();
  const prepared = await run(
    'prepare',
    card(),
    '--for',
    'rill-40@4.2.0',
    '--from',
    join(workspace, 'RILL40.FWU'),
    '--fresh',
    '--size',
    '64MB',
    '--confirm',
    card(),
    '--as',
    'R. Quill',
    '--json',
  );
  expect(prepared.json.verdict).toBe('ready');
});
afterEach(() => {
  window?.close();
  window = undefined;
});
afterAll(() => rmSync(workspace, { recursive: true, force: true }));

interface Walker {
  readonly terminal: TerminalWindow;
  /** Waits for this on the screen's last page, then presses. */
  at(text: string | RegExp, ...keys: string[]): Promise<string>;
  cautions(): Promise<void>;
  plate(): Promise<void>;
  dead(): Promise<void>;
}

function walker(): Walker {
  const terminal = openTerminal(
    `${process.execPath} ${bin} visit ${serial} --as Quill`,
    { columns: 60, rows: 60 },
    {
      SLOTPROOF_WORKSPACE: workspace,
      NO_COLOR: '1',
    },
  );
  window = terminal;
  const last = () => terminal.screen().trimEnd().split('='.repeat(60)).at(-1) ?? '';
  const at = async (text: string | RegExp, ...keys: string[]) => {
    const until = Date.now() + 15_000;
    for (;;) {
      const page = last();
      if (typeof text === 'string' ? page.includes(text) : text.test(page)) {
        if (keys.length > 0) terminal.type(...keys);
        return page;
      }
      if (Date.now() > until) throw new Error(`waited for ${String(text)}, saw:\n${terminal.screen()}`);
      await new Promise((resolve) => setTimeout(resolve, 30));
    }
  };
  return {
    terminal,
    at,
    async cautions() {
      for (let number = 1; number <= 10; number += 1) {
        await at(new RegExp(`CAUTION ${number} of 10[\\s\\S]*Enter  read`), 'Enter');
      }
    },
    async plate() {
      await at(/IS THIS THE UNIT\?[\s\S]*t {2}type it/, 't');
      await at('Last four', '0018', 'Enter');
      await at('revision', 'B', 'Enter');
    },
    async dead() {
      await at(/known source that the meter[\s\S]*y {2}yes/, 'y');
      await at('plus and minus [V]', '0,4', 'Enter');
      await at('plus and earth [V]', '-1.2', 'Enter');
      await at(/still\s+good[\s\S]*y {2}yes/, 'y');
      await at(/plus and minus: 0\.4 V[\s\S]*plus and earth: -1\.2 V[\s\S]*y {2}yes/, 'y');
    },
  };
}

test('right keys, wrong keys, a stop, Ctrl-C, and the same visit again to its end', async () => {
  const one = walker();
  const { terminal, at } = one;
  const opening = await terminal.waitFor('CAUTION 1 of 10');
  expect(opening).toContain(`VISIT TO ${serial}`);
  expect(opening).toContain('not a safety approval');
  await at(/s +stop/, 'x');
  terminal.type('d');
  await one.cautions();
  await at(/WHICH CARD[\s\S]*tonight\.img, prepared[\s\S]*o {2}another card/, '1');
  await at(/r {2}it is in a reader/, 'r');
  await at('drive, folder or card image', 'Enter');
  await terminal.waitFor('every byte of the firmware file');
  // Another unit's plate first.
  await at(/IS THIS THE UNIT\?[\s\S]*t {2}type it/, 't');
  await at('Last four', '0026', 'Enter');
  await at('revision', 'B', 'Enter');
  await terminal.waitFor('NOT the unit');
  await one.plate();
  await at(/WHICH VERSION[\s\S]*t {2}type it/, 't');
  await at('Version, as', '4.1.0', 'Enter');
  await at(/NOTE THESE SETTINGS[\s\S]*t {2}type it/, 't');
  await at('bus address (', '7', 'Enter');
  const starts = await at(/DOES EVERYTHING STAND SO\?[\s\S]*y {2}yes/, 'y');
  expect(starts).toMatch(/array connected\s+card out/);
  await at(/STEP 4[\s\S]*Open and lock[\s\S]*d {2}done/, 's');
  const stopped = await at(/STOPPED[\s\S]*g {2}go on/);
  expect(stopped).toMatch(/array connected, or isolated, if Step 4 has been begun/);
  expect(stopped).toContain('+00 555 0134');
  terminal.type('g');
  await at(/STEP 4[\s\S]*d {2}done/, 'd');
  await at(/plate mark a discharge time[\s\S]*n {2}the plate marks none/, 't');
  await at('Minutes on the plate', '0,03', 'Enter');
  await at('The time is over');
  await at(/d {2}go on/, 'd');
  // A reading that can mean two things is asked once more, and one beyond the limits is shown so.
  await at(/known source that the meter[\s\S]*y {2}yes/, 'y');
  await at('plus and minus [V]', '1,234', 'Enter');
  await terminal.waitFor('could be one and a bit');
  await at('plus and minus [V]', '412', 'Enter');
  await at('plus and earth [V]', '0', 'Enter');
  await at(/still\s+good[\s\S]*y {2}yes/, 'y');
  expect(await at(/Are they what the meter showed\?[\s\S]*n {2}no/, 'n')).toMatch(/412 V outside/);
  await one.dead();
  await at(/Slide the card in[\s\S]*d {2}done/, 'd');
  const held = await at(/HOLD LOAD[\s\S]*b {2}begin/, 'b');
  expect(held).toContain('do not cut the power');
  await at(/1 s {3}\(let go from 1 s to 2 s\)/, 'd');
  const watch = await at(/WATCH THE LIGHTS[\s\S]*\d+:\d\d left/);
  expect(watch).toContain('! The unit may be writing');
  terminal.type('1');
  await at(/WATCH THE LIGHTS[\s\S]*\d+:\d\d left/, 'C-c');
  const broken = await terminal.waitFor('exit=130');
  expect(broken).toMatch(/The unit may be writing: do not cut the power, do not pull\s+the card\./);
  expect(broken).toMatch(/card in\n/);
  expect(broken).toContain(`slotproof visit ${serial}`);
  expect(broken).not.toMatch(/Slide the card out/);
  // No colour was asked for: nothing but plain text, not wider than the window.
  expect(terminal.painted()).not.toMatch(/\u001b\[[0-9;]*[1-9][0-9;]*m/);
  terminal.close();

  // Taken up again, and the laptop dies in the middle of it.
  const gone = walker();
  await gone.terminal.waitFor('broke off');
  await gone.cautions();
  await gone.plate();
  await gone.at(/array[\s\S]*2 {2}isolated/, '2');
  await gone.at(/card[\s\S]*1 {2}out/);
  gone.terminal.close();

  const two = walker();
  await two.terminal.waitFor('broke off');
  await two.cautions();
  await two.plate();
  await two.at(/array[\s\S]*2 {2}isolated/, '2');
  await two.at(/card[\s\S]*2 {2}in\b/, '2');
  await two.dead();
  await two.at(/WATCH THE LIGHTS[\s\S]*9:\d\d left/, '2');
  await two.at(/Slide the card out[\s\S]*d {2}done/, 'd');
  const read = await two.at(/READ THE VERSION[\s\S]*t {2}type it/, 't');
  expect(read).not.toContain('4.2.0');
  await two.at('Version, as', '4.2.0', 'Enter');
  await two.at(/Close the array isolator[\s\S]*d {2}done/, 'd');
  await two.at(/BACK IN SERVICE\? 1 of 1[\s\S]*y {2}yes/, 'y');
  await two.at(/RESTORE THE SETTING[\s\S]*You noted: 7[\s\S]*d {2}restored/, 'd');
  await two.at(/STEP \d+ \(AFTERWARDS\)\s+BACK IN SERVICE\?[\s\S]*y {2}yes/, 'y');
  await two.at(/HOW IS THE UNIT LEFT[\s\S]*1 {2}running/, '1');
  await two.at(/TELL THE CUSTOMER[\s\S]*t {2}type it/, 't');
  await two.at('Name of who', 'M. Alder', 'Enter');
  const ended = await two.terminal.waitFor('exit=0');
  expect(ended).toContain('Updated.');
  expect(ended).toMatch(/Status: current/);

  const shown = await run('units', 'show', serial, '--json');
  expect(JSON.stringify(shown.json)).toContain('"4.2.0"');
  expect((await run('record', 'check', '--json')).json.verdict).toBe('intact');
}, 120_000);
