// `report` as it is called: where it lies, what its object says, each form, and what it refuses.

import { existsSync, readFileSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { pdfText } from '../support/pdf-pages.ts';
import { runCli } from '../support/run-cli.ts';

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

test('a serial that nobody registered', async () => {
  const { exit, json } = await run('report', 'TB8120000835', '--json');
  expect(exit).toBe(2);
  expect(json.error.code).toMatch(/^(unit-unknown|serial-)/);
  expect(existsSync(join(workspace, 'reports', 'TB8120000835'))).toBe(false);
});
