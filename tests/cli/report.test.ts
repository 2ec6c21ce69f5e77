// `report` as it is called: where it lies, what its object says, each form, and what it refuses.

import { existsSync, readFileSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { openedWorkspace, recordCard } from '../support/opened-workspace.ts';
import { pdfText } from '../support/pdf-pages.ts';
import { runCli } from '../support/run-cli.ts';
import { testClock } from '../support/test-clock.ts';

const serial = 'TB8120000834';
const { folder, workspace } = makeDemoWorkspace();
afterAll(() => rmSync(folder, { recursive: true }));
const run = (...args: string[]) => runCli(args, { workspace });

beforeAll(async () => {
  await run(
    'units',
    'add',
    serial,
    '--hardware',
    'B',
    '--site',
    'Alder Farm',
    '--version',
    '2.5.3',
    '--as',
    'R. Quill',
  );
  await run(
    'log',
    serial,
    'failed',
    '--cause',
    'unit',
    '--left',
    'locked-off',
    '--case',
    'T-1',
    '--as',
    'R. Quill',
    '--no-input',
  );
});

test('in the workspace, readable by its user only, and on the screen', async () => {
  const { exit, json } = await run('report', serial, '--json', '--as', 'R. Quill');
  expect(exit).toBe(0);
  expect(json).toMatchObject({
    command: 'report',
    format: 'text',
    serial,
    report: { title: `Report on unit ${serial}` },
  });
  expect(json.path.startsWith(join(workspace, 'reports', `${serial}-`))).toBe(true);
  expect(statSync(json.path).mode & 0o077).toBe(0);
  expect(readFileSync(json.path, 'utf8')).toContain('T-1');
  const again = await run('report', serial);
  expect(again.stdout).toContain('Case number');
  expect(again.stdout.trim().split('\n').at(-1)).toMatch(/^Report on TB8120000834: \//);
});

test.each(['html', 'pdf', 'text'])(
  'as %s, in a file of one’s own, which is never replaced',
  async (format) => {
    const out = join(folder, `claim.${format}`);
    const { json, exit } = await run('report', serial, '--format', format, '--out', out, '--json');
    expect([exit, json.path]).toEqual([0, out]);
    const bytes = readFileSync(out);
    const text = format === 'pdf' ? pdfText(bytes).join(' ') : bytes.toString('utf8');
    expect(text).toContain('locked-off');
    const second = await run('report', serial, '--format', format, '--out', out, '--json');
    expect([second.exit, second.json.error.code]).toEqual([2, 'file-exists']);
  },
);

test('a card whose preparation was made void is no proof any more, and the report says why', async () => {
  await recordCard(workspace, 'KF-09', 'hearth-90@2.6.0', {
    verdict: 'ready',
    atMs: testClock.now() - 3600_000,
  });
  const logged = ['deferred', '--reason', 'no-time', '--card', 'KF-09', '--as', 'R. Quill', '--no-input'];
  expect((await run('log', serial, ...logged)).exit).toBe(0);
  const said = async () => (await run('report', serial)).stdout.replace(/\s+/g, ' ');
  expect(await said()).toContain('Read back');
  const { context, close } = openedWorkspace(workspace);
  const store = await context.record('read');
  let id = '';
  for await (const entry of store!.entries({ kind: 'card-prepared' })) id = entry.id;
  close();
  const why = ['--why', 'another card was in the reader', '--as', 'R. Quill', '--no-input'];
  expect((await run('log', '--corrects', id, '--void', ...why)).exit).toBe(0);
  const after = await said();
  expect(after).not.toContain('Read back');
  expect(after).toContain('No preparation of this card that counts is on record.');
  expect(after).toContain('another card was in the reader');
});

test('a unit that was retired is still reported on', async () => {
  await run('units', 'retire', serial, '--why', 'swapped', '--as', 'R. Quill');
  const { exit, stdout } = await run('report', serial);
  expect(exit).toBe(0);
  expect(stdout).toMatch(/In service +no: retired/);
  expect(stdout).toContain('because: swapped');
});

test('a serial that nobody registered', async () => {
  const { exit, json } = await run('report', 'TB8120000835', '--json');
  expect(exit).toBe(2);
  expect(json.error.code).toMatch(/^(unit-unknown|serial-)/);
  expect(existsSync(join(workspace, 'reports', 'TB8120000835'))).toBe(false);
});
