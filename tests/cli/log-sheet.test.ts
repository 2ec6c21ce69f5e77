// `log --sheet` without a terminal: from a file of answers, one unit at a time, and every refusal.

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { recordRows } from '../support/record-rows.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { runCli } from '../support/run-cli.ts';

const [one, two, three] = [pumpSerial(1), pumpSerial(2), pumpSerial(3)];
let workspace: RegisterWorkspace;
let sheet = '';
const cli = (...args: string[]) => runCli([...args, '--json'], { workspace: workspace.path });
beforeEach(async () => {
  workspace = registerWorkspace();
  const rows = [one, two, three].map((serial) => `${serial},Alder Farm,rill-40,B,4.0.0`);
  const csv = workspace.file('f.csv', `serial,site,product,hardware,version\n${rows.join('\n')}\n`);
  expect((await cli('units', 'import', csv)).exit).toBe(0);
  ({ sheet } = (await cli('sheet', 'rill-40@4.2.0', '--unit', two, one)).json);
});
afterEach(() => workspace.remove());

const logged = () => recordRows(workspace.record).filter(({ kind }) => kind === 'outcome');
const answers = (...lines: unknown[]) =>
  workspace.file(
    'rows.jsonl',
    lines.map((line) => (typeof line === 'string' ? line : JSON.stringify(line))).join('\n'),
  );
const logSheet = (file: string, ...more: string[]) =>
  cli('log', '--sheet', sheet, '--answers', file, '--as', 'R. Quill', ...more);

describe('from a file', () => {
  test('by row and by serial, all in one go', async () => {
    const file = answers(
      { row: 1, outcome: 'updated', versionRead: '4.2.0', left: 'running', note: ' all  well ' },
      '',
      {
        serial: one,
        outcome: 'failed',
        cause: 'unit',
        left: 'locked-off',
        by: 'M. Tansy',
        at: '2026-06-01T10:00',
      },
    );
    const { exit, json } = await logSheet(file, '--photo', workspace.file('p.jpg', 'photo'));
    expect(exit).toBe(0);
    expect(json).toMatchObject({
      command: 'log',
      sheet,
      release: 'rill-40@4.2.0',
      skipped: [],
      stopped: false,
    });
    expect(json.entries.map(({ row, serial, status }: any) => [row, serial, status])).toEqual([
      [1, two, 'current'],
      [2, one, 'failed'],
    ]);
    expect(logged().map(({ body, doneBy }) => [body.sheet, doneBy, body.note, body.photos?.length])).toEqual([
      [sheet, 'R. Quill', 'all well', 1],
      [sheet, 'M. Tansy', undefined, 1],
    ]);
  });

  test('the same file again logs nothing twice; --again does', async () => {
    const file = answers({ row: 1, outcome: 'deferred', reason: 'no-time' });
    await logSheet(file);
    const { exit, json } = await logSheet(file);
    expect([exit, json.entries, json.skipped[0].code]).toEqual([0, [], 'logged-before']);
    expect(logged()).toHaveLength(1);
    expect((await logSheet(file, '--again')).json.entries).toHaveLength(1);
    expect(logged()).toHaveLength(2);
  });

  test('a version that is not the release’s: failed, and said so, unless it was seen on the display', async () => {
    const file = answers({ row: 1, outcome: 'updated', versionRead: '4.1.0' });
    const { json, stderr } = await logSheet(file);
    expect(json.entries[0]).toMatchObject({ outcome: 'failed', said: 'updated' });
    expect(stderr).toContain('recorded as failed');
    const confirmed = answers({ row: 2, outcome: 'updated', versionRead: '4.1.0', displayConfirmed: true });
    expect((await logSheet(confirmed)).json.entries[0]).toMatchObject({ outcome: 'updated' });
  });

  test.each([
    ['no JSON', ['row 1 updated'], 'answer-form'],
    ['a list', ['[1]'], 'answer-form'],
    ['an unknown field', [{ row: 1, outcome: 'failed', mood: 'bad' }], 'answer-form'],
    ['an unknown outcome', [{ row: 1, outcome: 'done' }], 'answer-form'],
    ['a number for a text', [{ row: 1, outcome: 'failed', note: 7 }], 'answer-form'],
    ['control characters', [{ row: 1, outcome: 'failed', note: 'a\u0007b' }], 'answer-form'],
    ['a text without end', [{ row: 1, outcome: 'failed', note: 'x'.repeat(100_000) }], 'answer-form'],
    ['neither row nor serial', [{ outcome: 'failed' }], 'answer-form'],
    ['nothing at all', ['', ' '], 'answer-form'],
    ['nested without end', [`${'['.repeat(50_000)}`], 'answer-form'],
    ['a row that is not there', [{ row: 3, outcome: 'failed' }], 'wrong-unit'],
    ['a unit that is not on it', [{ serial: three, outcome: 'failed' }], 'wrong-unit'],
    ['a row with another serial', [{ row: 1, serial: one, outcome: 'failed' }], 'wrong-unit'],
    [
      'a row twice',
      [
        { row: 1, outcome: 'failed' },
        { serial: two, outcome: 'failed' },
      ],
      'answer-twice',
    ],
    ['a reason without a deferral', [{ row: 1, outcome: 'failed', reason: 'no-time' }], 'option-misplaced'],
    ['an unknown pattern', [{ row: 1, outcome: 'updated', lights: 'green' }], 'pattern-unknown'],
    ['a version that is none', [{ row: 1, outcome: 'updated', versionRead: 'new' }], 'version-form'],
    ['already-current unread', [{ row: 1, outcome: 'already-current' }], 'answer-missing'],
    ['a time to come', [{ row: 1, outcome: 'failed', at: '2999-01-01' }], 'time-future'],
  ])('%s: exit 2 with its line, and nothing of the file is logged', async (_, lines, code) => {
    const good = { serial: one, outcome: 'deferred' };
    const file = code === 'answer-twice' || lines.length > 1 ? answers(...lines) : answers(good, ...lines);
    const { exit, json } = await logSheet(file);
    expect([exit, json.error.code]).toEqual([2, code]);
    expect(json.error.where).toContain('rows.jsonl');
    expect(JSON.stringify(json).length).toBeLessThan(5000);
    expect(logged()).toEqual([]);
  });

  test('too large a file, an absent file, a folder', async () => {
    const large = join(workspace.path, 'large.jsonl');
    writeFileSync(large, ' '.repeat(1_000_001));
    for (const path of [large, join(workspace.path, 'absent'), workspace.path]) {
      expect((await logSheet(path)).exit).toBe(2);
    }
    expect((await logSheet(answers(...Array.from({ length: 1001 }, () => '')))).exit).toBe(2);
  });

  test('a sheet whose serial was written in by hand', async () => {
    ({ sheet } = (await cli('sheet', 'rill-40@4.2.0')).json);
    expect((await logSheet(answers({ row: 1, outcome: 'failed' }))).json.error.code).toBe('answer-form');
    const { json } = await logSheet(answers({ serial: three.toLowerCase(), outcome: 'failed' }));
    expect(json.entries).toMatchObject([{ row: 1, serial: three }]);
  });
});

describe('without a terminal and without answers', () => {
  test('an error that names what to use instead', async () => {
    const { exit, json } = await cli('log', '--sheet', sheet, '--as', 'x');
    expect([exit, json.error.code]).toEqual([2, 'answer-missing']);
    for (const way of ['--answers', 'slotproof collect', 'slotproof log SERIAL OUTCOME']) {
      expect(json.error.next).toContain(way);
    }
  });

  test('the number: mistyped, unknown here', async () => {
    const mistyped = sheet.replace(/.$/, (last) => (last === '2' ? '3' : '2'));
    expect((await cli('log', '--sheet', mistyped)).json.error.code).toBe('sheet-number-mistyped');
    expect((await cli('log', '--sheet', 'K7MD-29XH')).json.error.code).toMatch(/^sheet-/);
  });

  test('what is about one row has no place here', async () => {
    for (const [flag, value] of [
      ['--version-read', '4.2.0'],
      ['--note', 'x'],
      ['--cause', 'card'],
    ] as const) {
      const { exit, json } = await cli('log', '--sheet', sheet, flag, value);
      expect([exit, json.error.code, json.error.where]).toEqual([2, 'option-misplaced', flag]);
    }
    expect((await cli('log', one, 'failed', '--again', '--as', 'x')).json.error.code).toBe(
      'option-misplaced',
    );
    expect((await cli('log', one, 'failed', '--answers', 'x', '--as', 'x')).json.error.code).toBe(
      'option-misplaced',
    );
  });
});

describe('one unit with the sheet that it stands on', () => {
  test('the entry names the sheet, and the release is the sheet’s', async () => {
    const { exit } = await cli(
      'log',
      one,
      'updated',
      '--lights',
      'taken',
      '--sheet',
      sheet.toLowerCase(),
      '--as',
      'x',
    );
    expect(exit).toBe(0);
    expect(logged()[0]?.body).toMatchObject({ sheet, release: 'rill-40@4.2.0' });
    const { json } = await logSheet(answers({ serial: one, outcome: 'failed' }));
    expect(json.skipped[0].code).toBe('logged-before');
  });

  test('a unit that is not on it is refused', async () => {
    const { exit, json } = await cli('log', three, 'failed', '--sheet', sheet, '--as', 'x');
    expect([exit, json.error.code]).toEqual([2, 'wrong-unit']);
    expect(logged()).toEqual([]);
  });
});
