// At a real terminal what is missing is asked, with its default and how to leave; without one it is an error
// that names the option. Runs the built command line (`npm test` builds it first).

import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { openTerminal, type TerminalWindow } from '../support/tmux.ts';

const bin = join(import.meta.dirname, '../../bin/slotproof.js');
let folder = '';
let workspace = '';
let window: TerminalWindow | undefined;

const size = { columns: 60, rows: 50 };
const card = () => join(folder, 'try/tonight.img');
/** The first 16 MiB, which hold both FATs, the folders and the image, and when the file was last written to. */
const fingerprint = () =>
  spawnSync('sh', ['-c', `head -c 16777216 ${card()} | sha256sum; stat -c %Y.%y ${card()}`], {
    encoding: 'utf8',
  }).stdout;
const open = (args: string) => {
  window = openTerminal(`cd ${folder}/try && ${process.execPath} ${bin} ${args}`, size, {
    SLOTPROOF_WORKSPACE: workspace,
    NO_COLOR: '1',
  });
  return window;
};

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'slotproof-terminal-'));
  const demo = spawnSync(process.execPath, [bin, 'demo', '--keep', join(folder, 'try')], {
    encoding: 'utf8',
  });
  expect(demo.stderr.includes('bug')).toBe(false);
  expect(demo.status).toBe(0);
  workspace = join(folder, 'try/workspace');
});
afterEach(() => {
  window?.close();
  window = undefined;
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('the confirmation of the card: no is the default, and changes nothing', async () => {
  const before = fingerprint();
  const terminal = open('prepare tonight.img --for hearth-90@2.5.0 --from HEARTH.TFW --as Quill');
  const shown = await terminal.waitFor('Ctrl-C leaves');
  expect(shown).toMatch(/\(y\/N\)/i);
  terminal.type('Enter');
  await terminal.waitFor(/exit=(2|130)/);
  expect(fingerprint()).toBe(before);
});

test('who works is asked, and Ctrl-C at the question ends with 130', async () => {
  const terminal = open('log TB8120000834 already-current --version-read 2.6.0');
  await terminal.waitFor('Who is working?');
  terminal.type('C-c');
  const shown = await terminal.waitFor('exit=130');
  expect(shown).toContain('[stopped]');
  expect(shown).not.toMatch(/ at .*\.js:\d+/);
});

test('an answer typed at the question counts', async () => {
  const terminal = open('log TB8120000834 already-current --version-read 2.6.0');
  await terminal.waitFor('Who is working?');
  terminal.type('-l', 'R. Quill');
  terminal.type('Enter');
  const shown = await terminal.waitFor('exit=0');
  expect(shown).toContain('current');
});

test('without a terminal the missing answer is an error that names its option', () => {
  const run = (args: readonly string[]) =>
    spawnSync(process.execPath, [bin, ...args], {
      encoding: 'utf8',
      input: '',
      env: { ...process.env, SLOTPROOF_WORKSPACE: workspace },
      cwd: join(folder, 'try'),
    });
  const unnamed = run(['log', 'TB8120000834', 'already-current', '--version-read', '2.6.0', '--json']);
  expect(unnamed.status).toBe(2);
  expect(JSON.parse(unnamed.stdout).error.next).toContain('--as');
  const unconfirmed = run([
    'prepare',
    'tonight.img',
    '--for',
    'hearth-90@2.5.0',
    '--from',
    'HEARTH.TFW',
    '--as',
    'Q',
    '--json',
  ]);
  expect(unconfirmed.status).toBe(2);
  expect(JSON.parse(unconfirmed.stdout).error.next).toContain('--confirm');
  const whichCard = run(['prepare', '--json']);
  expect(whichCard.status).toBe(2);
  expect(JSON.parse(whichCard.stdout).error).toBeDefined();
});

test('a closed pipe is no error', () => {
  const done = spawnSync(
    'sh',
    [
      '-c',
      `${process.execPath} ${bin} --help | head -1; ${process.execPath} ${bin} sheet hearth-90 | head -1`,
    ],
    {
      encoding: 'utf8',
      env: { ...process.env, SLOTPROOF_WORKSPACE: workspace },
    },
  );
  expect(done.stderr).not.toContain('EPIPE');
  expect(done.status).toBe(0);
});

test('the built tool tells its version, and needs nothing beside dist', () => {
  const version = JSON.parse(readFileSync(join(import.meta.dirname, '../../package.json'), 'utf8')).version;
  expect(spawnSync(process.execPath, [bin, '--version'], { encoding: 'utf8' }).stdout).toBe(`${version}\n`);
  expect(existsSync(join(import.meta.dirname, '../../dist/cli.js'))).toBe(true);
});
