// What a person sees in a window of 60 columns: laid out once, for that width; data as it is. Runs the built command
// line (`npm test` builds it first).

import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { openTerminal, type TerminalWindow } from '../support/tmux.ts';

const bin = join(import.meta.dirname, '../../bin/slotproof.js');
let folder = '';
let workspace = '';
let window: TerminalWindow | undefined;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'slotproof-narrow-'));
  const demo = spawnSync(process.execPath, [bin, 'demo', '--keep', join(folder, 'try')], {
    encoding: 'utf8',
  });
  expect(demo.status).toBe(0);
  workspace = join(folder, 'try/workspace');
});
afterEach(() => {
  window?.close();
  window = undefined;
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const environment = () => ({ SLOTPROOF_WORKSPACE: workspace, NO_COLOR: '1' });
const open = (args: string, rows: number) => {
  window = openTerminal(`${process.execPath} ${bin} ${args}`, { columns: 60, rows }, environment());
  return window;
};
const piped = (...args: readonly string[]) =>
  spawnSync(process.execPath, [bin, ...args], {
    encoding: 'utf8',
    env: { ...process.env, ...environment() },
  });
const lengths = (text: string) => text.split(/[\n\f]/).map((line) => line.length);

test('a sheet is laid out for the window; its file and a pipe have the width of paper', async () => {
  const shown = await open('sheet hearth-90 --unit TB8120000834', 1000).waitFor('exit=0');
  // Rules, tables and blanks end where the window does, and nothing is broken a second time after them.
  expect(shown).toMatch(/^={60}$/m);
  expect(shown).not.toMatch(/^=+\n=+$/m);
  expect(shown).toMatch(/^Row 1 -{54}$/m);
  expect(shown).not.toMatch(/^ *_+$/m);
  const number = /Sheet (\S+) for hearth-90/.exec(shown)?.[1] ?? '';
  expect(Math.max(...lengths(readFileSync(join(workspace, `sheets/${number}.txt`), 'utf8')))).toBe(78);
  const { stdout } = piped('sheet', 'hearth-90', '--unit', 'TB8120000834');
  expect(stdout).toMatch(/^={78}$/m);
});

test('a visit opens with one line for each thing it says', async () => {
  const shown = await open('visit TB8120001642 --as Quill', 40).waitFor('CAUTION 1 of');
  expect(shown.split('\n').slice(0, 9)).toEqual([
    'VISIT TO TB8120001642, Hearth 90 battery cabinet',
    'Firmware carried there: hearth-90@2.5.0',
    "The maker's procedure, from: Hearth 90 service handbook,",
    '  issue E, page 27-33',
    'Written by J. Marl; Checked by O. Fenwright; checked for',
    '  gaps; not a safety approval.',
    'Every answer is kept at once. Ctrl-C breaks the visit off at',
    '  any time; it can be resumed.',
    '',
  ]);
});

test('a table that is printed keeps its lines, and so does JSON that a help shows', async () => {
  const table = piped('units', 'export').stdout.trimEnd().split(/\r?\n/);
  expect(Math.max(...table.map((line) => line.length))).toBeGreaterThan(60);
  const inWindow = (line: string) => (line.match(/.{1,60}/g) ?? []).map((part) => part.trimEnd());
  const shown = await open('units export', 60).waitFor('exit=0');
  expect(shown).toContain(table.flatMap(inWindow).join('\n'));
  window?.close();
  const answer = '  {"step":"a measure","meterBefore":true,"readings":[0.4],"meterAfter":true}';
  const help = await open('visit --help', 100).waitFor('exit=0');
  expect(help).toContain(inWindow(answer).join('\n'));
});
