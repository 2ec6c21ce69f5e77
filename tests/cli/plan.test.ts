// `plan` as it is called: by a list and by sites; its object, its words, what it refuses. Which cards it takes is judged in
// tests/unit/fleet/card-plan.test.ts.

import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { runCli } from '../support/run-cli.ts';

const { folder, workspace } = makeDemoWorkspace();
afterAll(() => rmSync(folder, { recursive: true }));
const run = (...args: string[]) => runCli(args, { workspace });
const [old, due, current] = ['TB8120001642', 'TB8120000834', 'TB8120000586'] as const;

beforeAll(async () => {
  const add = (serial: string, site: string, hardware: string, version: string) =>
    run(
      'units',
      'add',
      serial,
      '--hardware',
      hardware,
      '--site',
      site,
      '--version',
      version,
      '--as',
      'R. Quill',
    );
  await add(old, 'Mill Acre', 'A', '2.2.4');
  await add(due, 'Thistle Croft', 'B', '2.5.0');
  await add(current, 'Alder Farm', 'B', '2.5.0');
  await run('log', current, 'already-current', '--version-read', '2.6.0', '--as', 'R. Quill');
});

const unsaid = { address: null, contact: null, access: null };

test('by sites: paths, minutes, cards; nothing for units that need nothing', async () => {
  const { json, exit } = await run(
    'plan',
    '--site',
    'Mill Acre',
    'Thistle Croft',
    'Alder Farm',
    '--date',
    '2026-11-25',
    '--json',
  );
  expect(exit).toBe(0);
  expect(json).toMatchObject({ command: 'plan', date: '2026-11-25', vans: 1, noPath: [], refused: [] });
  const minutes = json.units[1].minutes;
  expect(minutes).toBeGreaterThan(0);
  expect(json.units).toEqual([
    { serial: old, site: 'Mill Acre', status: 'due', path: ['2.5.0', '2.6.0'], minutes: 2 * minutes },
    { serial: due, site: 'Thistle Croft', status: 'due', path: ['2.6.0'], minutes },
  ]);
  expect(json.sites).toEqual([
    { site: 'Mill Acre', minutes: 2 * minutes, available: null, ...unsaid },
    { site: 'Thistle Croft', minutes, available: null, ...unsaid },
  ]);
  expect(
    json.cards.map((card: { releases: string[]; units: string[]; for: string }) => [
      card.releases,
      card.units,
      card.for,
    ]),
  ).toEqual([
    [['hearth-90@2.5.0'], [old], 'visit'],
    [['hearth-90@2.6.0'], [old, due], 'visit'],
    [['hearth-90@2.5.0'], [old], 'spare'],
    [['hearth-90@2.6.0'], [old, due], 'spare'],
  ]);
});

test('by a list: that day’s visits, the time that is there, lines that name nothing', async () => {
  const list = join(folder, 'visits.csv');
  writeFileSync(
    list,
    'site;date;minutes\nMill Acre;2026-11-25;45,5\nThistle Croft;2026-11-26;\nNowhere;2026-11-25;\n',
  );
  const { json, exit } = await run('plan', '--visits', list, '--date', '2026-11-25', '--json');
  expect(exit).toBe(4);
  expect(json.units.map(({ serial }: { serial: string }) => serial)).toEqual([old]);
  expect(json.sites).toMatchObject([{ site: 'Mill Acre', available: 45 }]);
  expect(json.refused).toMatchObject([{ line: 4, code: 'site-unknown' }]);
  const { stdout } = await runCli(['plan', '--visits', list, '--date', '2026-11-25', '--no-color'], {
    workspace,
    columns: 60,
  });
  expect(stdout).toContain('but 45 min are there');
  for (const line of stdout.split('\n')) expect(line.length, line).toBeLessThanOrEqual(60);
  expect(stdout.trim().split('\n').at(-1)).toContain('still to be prepared.');
});

test('a list in another encoding is refused with its line, or read as it was declared, by plan and audit', async () => {
  const list = join(folder, 'latin.csv');
  writeFileSync(list, Buffer.from('site,date\nMill Acre,\nCaf\u00e9,\n', 'latin1'));
  for (const command of ['plan', 'audit']) {
    const refused = await run(command, '--visits', list, '--json');
    expect(refused).toMatchObject({
      exit: 2,
      json: { error: { code: 'table-encoding', where: `${list}:3` } },
    });
    expect(refused.json.error.next).toContain('--encoding windows-1252');
    const { json } = await run(command, '--visits', list, '--encoding', 'windows-1252', '--json');
    expect(json.refused, command).toMatchObject([{ line: 3, summary: expect.stringContaining('Caf\u00e9') }]);
  }
});

test('an empty list says what its header may be', async () => {
  const list = join(folder, 'empty.csv');
  writeFileSync(list, '');
  const { json } = await run('plan', '--visits', list, '--json');
  expect(json.error).toMatchObject({
    code: 'table-empty',
    expected: 'a header with some of these columns: site, serial, date, minutes',
  });
});

test.each([
  [['plan'], 'option-missing'],
  [['plan', '--site', 'Nowhere'], 'site-unknown'],
  [['plan', '--site', 'Mill Acre', '--date', 'tomorrow'], 'date-form'],
  [['plan', '--site', 'Mill Acre', '--vans', '0'], 'bad-number'],
  [['plan', '--visits', 'no.csv'], 'file-absent'],
])('%j is refused: %s', async (args, code) => {
  const { exit, json } = await run(...args, '--json');
  expect(exit).toBe(2);
  expect(json.error.code).toBe(code);
});
