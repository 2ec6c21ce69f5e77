import { spawnSync } from 'node:child_process';
import { existsSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { recordRows } from '../support/record-rows.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { runCli } from '../support/run-cli.ts';

let workspace: RegisterWorkspace;
beforeEach(async () => {
  workspace = registerWorkspace();
  for (const number of [1, 2, 3]) await cli('units', 'add', pumpSerial(number), '--site', 'Alder Farm');
});
afterEach(() => workspace.remove());

const cli = (...args: string[]) => runCli([...args, '--json'], { workspace: workspace.path });
const sql = (text: string) =>
  expect(
    spawnSync('sqlite3', [
      '-bail',
      workspace.record,
      `DROP TRIGGER entries_are_never_changed; DROP TRIGGER entries_are_never_removed; ${text}`,
    ]).status,
  ).toBe(0);

test('intact: what is there, and the marks', async () => {
  const last = recordRows(workspace.record).at(-1)!;
  const { exit, json } = await cli('record', 'check');
  expect(exit).toBe(0);
  expect(json).toMatchObject({ verdict: 'intact', entries: 3, units: 3, findings: [] });
  expect(json.marks).toEqual([{ laptop: expect.stringMatching(/^[a-z0-9]{8}$/), seq: 3, hash: last.hash }]);
  expect((await cli('record', 'mark')).json).toMatchObject({
    marks: json.marks,
    laptop: json.marks[0].laptop,
  });
});

test('damaged: exit 3, each finding with a next step, the verdict last', async () => {
  sql("UPDATE entries SET text = replace(text, 'Alder', 'Elder') WHERE seq = 2;");
  const { exit, json } = await cli('record', 'check');
  expect([exit, json.verdict]).toEqual([3, 'damaged']);
  expect(json.findings.map(({ code }: any) => code)).toContain('entry-altered');
  const text = (await runCli(['record', 'check'], { workspace: workspace.path })).stdout.trim().split('\n');
  expect(text.at(-1)).toBe('The record is DAMAGED.');
});

test('a mark from paper tells a tail that was cut with its note', async () => {
  const [line] = (await runCli(['record', 'mark'], { workspace: workspace.path })).stdout.split('\n');
  expect(await cli('record', 'check', '--mark', line!)).toMatchObject({ exit: 0 });
  sql(`DELETE FROM entries WHERE seq = 3; DELETE FROM units WHERE serial = '${pumpSerial(3)}';
    UPDATE marks SET seq = 2, hash = (SELECT hash FROM entries WHERE seq = 2);`);
  // What was noted beside the record tells it as well; this one is cut together with that.
  expect(await cli('record', 'check')).toMatchObject({
    exit: 3,
    json: { findings: [{ code: 'tail-missing' }] },
  });
  rmSync(`${workspace.record}-end`);
  expect(await cli('record', 'check')).toMatchObject({ exit: 0 });
  expect(await cli('record', 'check', '--mark', line!)).toMatchObject({
    exit: 3,
    json: { findings: [{ code: 'tail-missing' }] },
  });
  expect(await cli('record', 'check', '--mark', 'x')).toMatchObject({
    exit: 2,
    json: { error: { code: 'mark-form' } },
  });
});

describe('a mark that is nearly right', () => {
  let line: string;
  beforeEach(async () => {
    const { stdout } = await runCli(['record', 'mark'], { workspace: workspace.path });
    line = /[a-z0-9]{8}-\d+ [0-9a-f ]+/.exec(stdout)![0].trim();
  });
  /** Another digit than the one there. */
  const other = (digit: string) => (digit === '7' ? '8' : '7');
  const hashAt = () => line.indexOf(' ') + 1;
  const slips: readonly (readonly [string, () => string, RegExp])[] = [
    [
      'one digit',
      () => {
        const at = hashAt() + 2;
        return line.slice(0, at) + other(line[at]!) + line.slice(at + 1);
      },
      /digit 3\b/,
    ],
    ['the last digit', () => line.slice(0, -1) + other(line.at(-1)!), /digit 20\b/],
    ['a digit left out', () => line.slice(0, hashAt()) + line.slice(hashAt() + 1), /digit/],
    ['a letter of the laptop', () => other(line[0]!) + line.slice(1), /Is it \w{8}\?/],
  ];
  test.each(slips)('%s: asked about, not told as damage', async (_what, slip, told) => {
    const { exit, json } = await cli('record', 'check', '--mark', slip());
    expect([exit, json.error.code]).toEqual([2, 'mark-mistyped']);
    expect(`${json.error.seen} ${json.error.next}`).toMatch(told);
    // Whoever mends it must look at the paper: what is on record is not shown.
    expect(JSON.stringify(json.error)).not.toContain(line.slice(hashAt(), hashAt() + 5));
  });

  test('as it stands: intact; of another entry: damaged', async () => {
    expect((await cli('record', 'check', '--mark', line)).exit).toBe(0);
    const far = line.slice(0, hashAt()) + line.slice(hashAt()).replace(/[0-9a-f]/g, other);
    const { exit, json } = await cli('record', 'check', '--mark', far);
    expect([exit, json.findings[0].code]).toEqual([3, 'mark-differs']);
  });
});

test('no record yet: intact and empty, unless a mark says that there was one', async () => {
  const other = { workspace: join(workspace.path, 'other') };
  const { exit, json } = await runCli(['record', 'check', '--json'], other);
  expect([exit, json]).toEqual([
    0,
    {
      command: 'record check',
      verdict: 'intact',
      entries: 0,
      units: 0,
      marks: [],
      evidence: 0,
      findings: [],
    },
  ]);
  expect((await runCli(['record', 'mark', '--json'], other)).json).toMatchObject({ marks: [] });
  const missing = await runCli(['record', 'check', '--mark', 'k7mq4rt2-1 0123456789abcdef', '--json'], other);
  expect(missing).toMatchObject({ exit: 3, json: { findings: [{ code: 'tail-missing' }] } });
  expect((await runCli(['record', 'rebuild', '--json'], other)).exit).toBe(2);
});

test('rebuild puts right what is stored of units', async () => {
  expect((await cli('record', 'rebuild')).json).toMatchObject({ units: 3, differed: [] });
  spawnSync('sqlite3', [workspace.record, "UPDATE units SET site = 'x'"]);
  expect((await cli('record', 'check')).json.findings).toHaveLength(3);
  expect((await cli('record', 'rebuild')).json.differed).toHaveLength(3);
  expect((await cli('record', 'check')).exit).toBe(0);
});

test('a newer record: exit 7', async () => {
  spawnSync('sqlite3', [workspace.record, 'PRAGMA user_version = 99']);
  expect(await cli('record', 'check')).toMatchObject({ exit: 7, json: { error: { code: 'record-newer' } } });
});

test('record sync with a file in place of an address says what takes a packet in, and makes nothing', async () => {
  const other = { workspace: join(workspace.path, 'other') };
  for (const given of [workspace.record, workspace.path]) {
    const { exit, json } = await runCli(['record', 'sync', given, '--as', 'R. Quill', '--json'], other);
    expect([exit, json.error.code, json.error.where]).toEqual([2, 'server-url-form', given]);
    expect(json.error.next).toContain('record take-in');
  }
  expect(existsSync(other.workspace)).toBe(false);
});
