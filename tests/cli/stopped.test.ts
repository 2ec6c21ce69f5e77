// Ctrl-C in work that never waits: it is heard, nothing is left in half, and it is said.

import { spawn } from 'node:child_process';
import { existsSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { runCli } from '../support/run-cli.ts';

let workspace: RegisterWorkspace;
beforeEach(() => {
  workspace = registerWorkspace();
});
afterEach(() => workspace.remove());

const bin = join(import.meta.dirname, '../../bin/slotproof.js');
const table = () => join(workspace.path, 'units.csv');
function writeTable(count: number): void {
  const rows = Array.from({ length: count }, (_, i) => `${pumpSerial(i)},Alder Farm,rill-40,,4.0.0\n`);
  writeFileSync(table(), `serial,site,product,hardware,version\n${rows.join('')}`);
}
const cli = (args: readonly string[], interrupted = false) =>
  runCli([...args, '--as', 'R. Quill', '--json'], { workspace: workspace.path, interrupted });

test('a table of units: nothing was taken in, and the same again takes it in', async () => {
  writeTable(1500);
  for (const more of [[], ['--dry-run'], ['--strict']]) {
    const { exit, json } = await cli(['units', 'import', table(), ...more], true);
    expect([exit, json.error.code, json.error.summary]).toEqual([
      130,
      'stopped',
      'Stopped: nothing was taken in.',
    ]);
  }
  expect((await cli(['units', 'list'])).json.units).toEqual([]);
  expect((await cli(['units', 'import', table()])).json.added).toBe(1500);
  expect((await cli(['record', 'check'])).json.verdict).toBe('intact');
});

test('a packet: none was written', async () => {
  writeTable(1500);
  await cli(['units', 'import', table()]);
  const packet = join(workspace.path, 'a.packet');
  for (const more of [[], ['--no-names']]) {
    const { exit, json } = await cli(['record', 'pack', packet, ...more], true);
    expect([exit, json.error.summary]).toEqual([130, 'Stopped: no packet was written.']);
    expect(readdirSync(workspace.path).filter((name) => /packet|part/.test(name))).toEqual([]);
  }
});

test.each([
  ['check', [], 'the record was not checked to its end'],
  ['rebuild', [], 'nothing was changed'],
  ['take-in', ['a.packet'], 'nothing was taken in'],
  ['backup', ['new.db'], 'no back-up was made'],
  ['salvage', ['new.db'], 'nothing was written'],
  ['restore', ['old.db', '--set-aside'], 'nothing was restored, nothing moved'],
])('record %s: said, and nothing is left of it', async (name, names, told) => {
  writeTable(3);
  await cli(['units', 'import', table()]);
  await cli(['record', 'pack', join(workspace.path, 'a.packet')]);
  await cli(['record', 'backup', join(workspace.path, 'old.db')]);
  const args = [
    'record',
    name,
    ...names.map((file) => (/^-/.test(file) ? file : join(workspace.path, file))),
  ];
  const before = readdirSync(workspace.path);
  const { exit, json } = await cli(args, true);
  expect([exit, json.error.code, json.error.summary]).toEqual([130, 'stopped', `Stopped: ${told}.`]);
  expect(readdirSync(workspace.path)).toEqual(before);
  expect((await runCli(['record', name, '--help'])).stdout).toContain('130');
  expect((await cli(args)).exit).toBe(0);
  expect((await cli(['record', 'check'])).json).toMatchObject({ verdict: 'intact', entries: 6 });
});

test('a process in the midst of writing', async () => {
  writeTable(60_000);
  const child = spawn(process.execPath, [bin, 'units', 'import', table(), '--as', 'R. Quill', '--json'], {
    env: { ...process.env, SLOTPROOF_WORKSPACE: workspace.path },
  });
  let text = '';
  child.stdout.on('data', (part) => {
    text += part;
  });
  const ended = new Promise((resolve) => child.on('close', resolve));
  const log = `${workspace.record}-wal`;
  while (child.exitCode === null && !(existsSync(log) && statSync(log).size > 500_000))
    await new Promise((resolve) => setTimeout(resolve, 5));
  child.kill('SIGINT');
  expect(await ended).toBe(130);
  expect(JSON.parse(text).error.code).toBe('stopped');
  const check = await cli(['record', 'check']);
  expect(check.json).toMatchObject({ verdict: 'intact', entries: 0, units: 0 });
}, 60_000);
