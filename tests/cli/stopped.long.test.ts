// Ctrl-C to a process in the midst of long work on a large record: it ends soon, says so, and leaves nothing in half.

import { spawn } from 'node:child_process';
import { existsSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { runCli } from '../support/run-cli.ts';

const units = 60_000;
const bin = join(import.meta.dirname, '../../bin/slotproof.js');
let here: RegisterWorkspace;
let there: RegisterWorkspace;
let packet: string;

beforeAll(async () => {
  here = registerWorkspace();
  there = registerWorkspace();
  packet = join(here.path, 'all.packet');
  const table = join(here.path, 'units.csv');
  const rows = Array.from({ length: units }, (_, i) => `${pumpSerial(i)},Alder Farm,rill-40,,4.0.0\n`);
  writeFileSync(table, `serial,site,product,hardware,version\n${rows.join('')}`);
  for (const args of [
    ['units', 'import', table],
    ['record', 'pack', packet],
  ])
    expect((await runCli([...args, '--as', 'R. Quill'], { workspace: here.path })).exit).toBe(0);
}, 120_000);
afterAll(() => {
  here.remove();
  there.remove();
});

/** Interrupted as soon as `isInMidst`; what it said, and how it ended. */
async function interrupted(workspace: RegisterWorkspace, args: readonly string[], isInMidst: () => boolean) {
  const child = spawn(process.execPath, [bin, ...args, '--as', 'R. Quill', '--json'], {
    env: { ...process.env, SLOTPROOF_WORKSPACE: workspace.path },
  });
  let text = '';
  child.stdout.on('data', (part) => {
    text += part;
  });
  const ended = new Promise<number | null>((resolve) => child.on('close', resolve));
  while (child.exitCode === null && !isInMidst()) await new Promise((resolve) => setTimeout(resolve, 5));
  child.kill('SIGINT');
  return { exit: await ended, json: JSON.parse(text) };
}

const isLonger = (path: string, bytes: number) => existsSync(path) && statSync(path).size > bytes;

test('a packet is being taken in: not one entry of it is there, and the same again takes it in', async () => {
  const midst = () => isLonger(`${there.record}-wal`, 500_000);
  const { exit, json } = await interrupted(there, ['record', 'take-in', packet], midst);
  expect([exit, json.error?.summary]).toEqual([130, 'Stopped: nothing was taken in.']);
  const cli = (...args: string[]) => runCli([...args, '--json'], { workspace: there.path });
  expect((await cli('record', 'check')).json).toMatchObject({ verdict: 'intact', entries: 0, units: 0 });
  expect((await cli('record', 'take-in', packet)).json.added).toBe(2 * units);
}, 120_000);

test.each([
  ['backup', 'no back-up was made'],
  ['salvage', 'nothing was written'],
])(
  'record %s is filling its file: no part of it is left',
  async (name, told) => {
    const files = () => readdirSync(here.path).filter((file) => !file.startsWith('record.db-'));
    const before = files();
    const target = join(here.path, 'made.db');
    const midst = () => files().some((file) => file.endsWith('.part') && isLonger(join(here.path, file), 0));
    const { exit, json } = await interrupted(here, ['record', name, target], midst);
    expect([exit, json.error?.summary]).toEqual([130, `Stopped: ${told}.`]);
    expect(files()).toEqual(before);
  },
  120_000,
);
