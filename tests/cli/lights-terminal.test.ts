// `lights --play` at a real terminal: drawn over in place, in words, left with Ctrl-C. Runs the built command line
// (`npm test` builds it first).

import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { openTerminal, type TerminalWindow } from '../support/tmux.ts';

const bin = join(import.meta.dirname, '../../bin/slotproof.js');
let folder = '';
let workspace = '';
let window: TerminalWindow | undefined;
beforeAll(() => {
  ({ folder, workspace } = makeDemoWorkspace());
});
afterEach(() => {
  window?.close();
  window = undefined;
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The shell around it outlives the Ctrl-C that both of them get. */
const open = (args: string, setting = '') => {
  window = openTerminal(
    `trap : INT; ${setting} ${process.execPath} ${bin} ${args}`,
    { columns: 60, rows: 30 },
    { SLOTPROOF_WORKSPACE: workspace, NO_COLOR: '1' },
  );
  return window;
};

test('each light by its name and colour, lit and dark in turn, one block of lines; Ctrl-C ends it with 130', async () => {
  const terminal = open('lights hearth-90 --play receiving');
  await terminal.waitFor('LINK (blue)  [######]  LIT, blue');
  await terminal.waitFor('LINK (blue)  [      ]  dark');
  terminal.type('C-c');
  const shown = await terminal.waitFor('exit=130');
  expect(shown.match(/FAULT \(red\)/g)).toHaveLength(1);
  expect(shown.replace(/\s+/g, ' ')).toContain('Plays for 20 seconds; Ctrl-C ends it.');
  expect(shown).not.toMatch(/ at .*\.js:\d+/);
  for (const line of shown.split('\n')) expect(line.length).toBeLessThanOrEqual(60);
});

test('it ends by itself', async () => {
  const terminal = open('lights kerb-22 --play loading --seconds 1');
  const shown = await terminal.waitFor('exit=0');
  expect(shown).toContain('display  [ LOAD ]');
});

test('a terminal that cannot draw lines over is told so', async () => {
  const shown = await open('lights kerb-22 --play loading', 'TERM=dumb').waitFor('exit=2');
  expect(shown).toContain('no-terminal');
});
