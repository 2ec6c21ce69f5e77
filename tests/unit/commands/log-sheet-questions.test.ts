// `log --sheet` at a terminal: the rows of a sheet from paper, in the sheet's own order, by a scripted person.

import { spawnSync } from 'node:child_process';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { run } from '../../../src/commands/log.ts';
import { recordRows } from '../../support/record-rows.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../../support/register-workspace.ts';
import { runCli } from '../../support/run-cli.ts';
import { ctrlC, type ScriptedAnswer, scriptedPerson } from '../../support/scripted-person.ts';

const [one, two, three] = [pumpSerial(1), pumpSerial(2), pumpSerial(3)];
let workspace: RegisterWorkspace;
let sheet = '';
const cli = async (...args: string[]) => {
  const result = await runCli([...args, '--json'], { workspace: workspace.path });
  expect(result.exit, result.stdout + result.stderr).toBe(0);
  return result.json;
};
beforeEach(async () => {
  workspace = registerWorkspace();
  const rows = [two, one, three].map((serial) => `${serial},Alder Farm,rill-40,B,4.0.0`);
  await cli(
    'units',
    'import',
    workspace.file('f.csv', `serial,site,product,hardware,version\n${rows.join('\n')}\n`),
  );
  // Not the order of the serials.
  ({ sheet } = await cli('sheet', 'rill-40@4.2.0', '--unit', two, one, three));
});
afterEach(() => workspace.remove());

async function paper(answers: readonly ScriptedAnswer[], options: Record<string, unknown> = {}) {
  const person = scriptedPerson(workspace.path, answers);
  const answer = await run(person.context, [], { sheet, ...options } as never).finally(person.close);
  person.requireAllAsked();
  return { answer, json: answer.json as any, notices: person.notices };
}
const logged = () => recordRows(workspace.record).filter(({ kind }) => kind === 'outcome');
const who: ScriptedAnswer = ['Who is working', 'R. Quill'];
const skip = (row: string): ScriptedAnswer => [`${row} of 3`, 'skip this row'];
/** What is asked of every row at its end. */
const end = (note = '-', by = 'R. Quill', at = 'now'): ScriptedAnswer[] => [
  ['Done by', by],
  ['Day and time', at],
  ['Note', note],
];
const updated = (row: string, version = '4.2.0'): ScriptedAnswer[] => [
  [row, 'updated'],
  ['Version before', '4.0.0'],
  ['Version read', version],
  ['lights', 'taken'],
  ['left', 'running'],
  ['Card', 'blue 3'],
  ['Customer told', '-'],
];
const failed: ScriptedAnswer[] = [
  [`Row 2 of 3, ${one}, Alder Farm`, 'failed'],
  ['Version before', '-'],
  ['Version read', '-'],
  ['lights', 'the lights were not seen'],
  ['left', 'locked-off'],
  ['fail on', 'card'],
  ['Card', '-'],
  ['Case number', '4471'],
  ['Customer told', 'Mx Reed'],
];
const deferred: ScriptedAnswer[] = [
  ['Row 3 of 3', 'deferred'],
  ['Version before', '-'],
  ['how the unit was left', false],
  ['Why', 'no-access'],
  ['Card', '-'],
  ['Customer told', '-'],
];

test('every row in the order of the sheet, each with its entry and status', async () => {
  const { answer, json } = await paper([
    who,
    ...updated(`Row 1 of 3, ${two}, Alder Farm`),
    ...end(),
    ...failed,
    ...end('no light at all', 'M. Tansy', '2026-06-01T14:30'),
    ...deferred,
    ...end('-', 'M. Tansy', '2026-06-01T15:00'),
  ]);
  expect(answer.exit).toBe(0);
  expect(json).toMatchObject({ sheet, release: 'rill-40@4.2.0', skipped: [], stopped: false });
  expect(json.entries.map(({ row, serial, outcome, status }: any) => [row, serial, outcome, status])).toEqual(
    [
      [1, two, 'updated', 'current'],
      [2, one, 'failed', 'failed'],
      [3, three, 'deferred', 'overdue'],
    ],
  );
  const rows = logged();
  expect(rows.map(({ body }) => body)).toEqual([
    {
      serial: two,
      outcome: 'updated',
      evidence: 'read',
      release: 'rill-40@4.2.0',
      versionBefore: '4.0.0',
      versionRead: '4.2.0',
      lights: 'taken',
      left: 'running',
      card: 'blue 3',
      sheet,
    },
    {
      serial: one,
      outcome: 'failed',
      evidence: 'reported',
      release: 'rill-40@4.2.0',
      left: 'locked-off',
      cause: 'card',
      case: '4471',
      told: 'Mx Reed',
      note: 'no light at all',
      sheet,
    },
    {
      serial: three,
      outcome: 'deferred',
      evidence: 'reported',
      release: 'rill-40@4.2.0',
      reason: 'no-access',
      sheet,
    },
  ]);
  expect(rows.map(({ typedBy, doneBy }) => [typedBy, doneBy])).toEqual([
    ['R. Quill', 'R. Quill'],
    ['R. Quill', 'M. Tansy'],
    ['R. Quill', 'M. Tansy'],
  ]);
  expect(rows[1]?.claimedAt).toMatch(/^2026-06-01T14:30:00/);
  expect(json.entries[0].entry).toMatchObject({ seq: rows[0]?.seq, hash: rows[0]?.hash });
});

test('Ctrl-C leaves: rows done stay done, and the same command goes on with the others', async () => {
  const first = await paper([
    who,
    ...updated('Row 1'),
    ...end(),
    [`Row 2 of 3`, 'failed'],
    ['Version before', ctrlC],
  ]);
  expect([first.answer.exit, first.json.stopped]).toEqual([130, true]);
  expect(first.json.entries).toHaveLength(1);
  expect(first.answer.text).toContain('What is logged stays');
  expect(logged()).toHaveLength(1);

  const { answer, json, notices } = await paper([who, skip('Row 2'), ...deferred, ...end()]);
  expect(answer.exit).toBe(0);
  expect(notices.join('\n')).toContain(`${two} was logged from this sheet before: updated`);
  expect(json.skipped.map(({ row, code }: any) => [row, code])).toEqual([
    [1, 'logged-before'],
    [2, 'skipped'],
  ]);
  expect(json.skipped[0].entry).toBe(first.json.entries[0].entry.id);
  expect(json.entries).toMatchObject([{ row: 3, serial: three }]);
});

test('Ctrl-C at the first question: nothing was logged', async () => {
  const { answer, json } = await paper([['Who is working', ctrlC]]);
  expect([answer.exit, json.entries]).toEqual([130, []]);
  expect(logged()).toEqual([]);
});

test('rows logged before are asked again only where that was said', async () => {
  await paper([who, ...updated('Row 1'), ...end(), skip('Row 2'), skip('Row 3')]);
  const again = await paper([who, ...updated('Row 1'), ...end(), skip('Row 2'), skip('Row 3')], {
    again: true,
  });
  expect(again.json.entries).toHaveLength(1);
  expect(logged()).toHaveLength(2);
});

test('a photo of the paper is kept by its digest, and every row names it', async () => {
  const photo = workspace.file('paper.jpg', 'not really a photo');
  const digest = spawnSync('sha256sum', [photo], { encoding: 'utf8' }).stdout.slice(0, 64);
  await paper([who, ...updated('Row 1'), ...end(), skip('Row 2'), ...deferred, ...end()], { photo: [photo] });
  for (const { body } of logged()) {
    expect(body.photos).toEqual([{ sha256: digest, bytes: 18, name: 'paper.jpg' }]);
  }
});

test('who and when, where given, are not asked', async () => {
  const rest: ScriptedAnswer[] = [['Note', '-'], skip('Row 2'), skip('Row 3')];
  await paper([who, ...updated('Row 1'), ...rest], { by: 'M. Tansy', at: '2026-06-01T10:00' });
  expect(logged()[0]).toMatchObject({ doneBy: 'M. Tansy' });
  expect(logged()[0]?.claimedAt).toMatch(/^2026-06-01T10:00/);
});

test('another version than the release’s: the same question as in log', async () => {
  const { json } = await paper([
    who,
    ...updated('Row 1', '4.1.0'),
    ...end(),
    ['really show 4.1.0', false],
    ['Which version', '4.2.0'],
    skip('Row 2'),
    skip('Row 3'),
  ]);
  expect(json.entries[0]).toMatchObject({ outcome: 'updated', status: 'current' });
});

test('a row that cannot be so is told and asked again, and nothing of it is written', async () => {
  const { json, notices } = await paper([
    who,
    ...updated('Row 1', 'newest'),
    ...end(),
    ...updated('Row 1'),
    ['Done by', 'R. Quill'],
    ['Day and time', '2999-01-01'],
    ...updated('Row 1'),
    ...end(),
    skip('Row 2'),
    skip('Row 3'),
  ]);
  expect(notices.filter((line) => line.includes('This row is asked again.'))).toHaveLength(2);
  expect(json.entries).toHaveLength(1);
  expect(logged()).toHaveLength(1);
});

test('a unit that was retired since is told and left out: done in part', async () => {
  await cli('units', 'retire', one);
  const { answer, json } = await paper([who, skip('Row 1'), skip('Row 3')]);
  expect(answer.exit).toBe(4);
  expect(json.skipped[1]).toMatchObject({ row: 2, serial: one, code: 'unit-retired' });
});

test('a sheet whose serial is written in by hand', async () => {
  ({ sheet } = await cli('sheet', 'rill-40@4.2.0'));
  const { json } = await paper([who, ['Which unit', one], ...updated(`Row 1 of 1, ${one}`), ...end()]);
  expect(json.entries).toMatchObject([{ row: 1, serial: one, status: 'current' }]);
  const { answer } = await paper([who, ['Which unit', one]]);
  expect(answer.json).toMatchObject({ skipped: [{ code: 'logged-before' }] });
});
