// `log` by its options: what is written, what is refused, what the unit's status becomes.
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { recordRows } from '../support/record-rows.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { type CliResult, runCli } from '../support/run-cli.ts';

const [one, two, three] = [pumpSerial(1), pumpSerial(2), pumpSerial(3)];
let workspace: RegisterWorkspace;
beforeEach(async () => {
  workspace = registerWorkspace();
  const csv = workspace.file(
    'fleet.csv',
    `serial,site,product,hardware,version\n${one},Alder Farm,rill-40,B,3.8.0\n${two},Birch,rill-40,B,\n${three},Birch,rill-40,B,4.0.0\n`,
  );
  const { exit } = await runCli(['units', 'import', csv], { workspace: workspace.path });
  expect(exit).toBe(0);
});
afterEach(() => workspace.remove());

const cli = (...args: string[]): Promise<CliResult> =>
  runCli([...args, '--json'], { workspace: workspace.path });
const log = (...args: string[]) => cli('log', ...args, '--as', 'R. Quill');
const logged = () => recordRows(workspace.record).filter(({ kind }) => kind === 'outcome');

describe('what is written', () => {
  test('updated, the version read: current at the end of the path', async () => {
    const first = await log(one, 'updated', '--version-read', '4.0.0', '--version-before', '3.8.0');
    expect(first).toMatchObject({
      exit: 0,
      json: { command: 'log', status: 'overdue', release: 'rill-40@4.0.0', path: ['4.2.0'] },
    });
    const { exit, json } = await log(one, 'updated', '--version-read', '4.2.0');
    expect([exit, json.status, json.release, json.evidence]).toEqual([0, 'current', 'rill-40@4.2.0', 'read']);
    const row = logged()[1]!;
    expect(json.entry).toEqual({
      id: `${json.entry.laptop}-${row.seq}`,
      laptop: json.entry.laptop,
      seq: row.seq,
      hash: row.hash,
    });
    expect(spawnSync('sha256sum', { input: row.text, encoding: 'utf8' }).stdout.slice(0, 64)).toBe(row.hash);
    expect(row.body).toEqual({
      serial: one,
      outcome: 'updated',
      evidence: 'read',
      release: 'rill-40@4.2.0',
      versionRead: '4.2.0',
      left: 'running',
    });
    expect(row.typedBy).toBe('R. Quill');
    expect(row.doneBy).toBe('R. Quill');
  });

  test('updated on lights alone is to be confirmed, and confirmed by a reading', async () => {
    expect(await log(three, 'updated', '--lights', 'taken')).toMatchObject({
      exit: 0,
      json: { status: 'to-confirm', evidence: 'lights' },
    });
    expect(await log(three, 'already-current', '--version-read', '4.2.0')).toMatchObject({
      exit: 0,
      json: { status: 'current' },
    });
  });

  test('updated, neither read nor lights: reported, said so, and not current', async () => {
    const { json, stderr } = await log(three, 'updated');
    expect(json).toMatchObject({ evidence: 'reported' });
    expect(json.status).not.toBe('current');
    expect(stderr).toContain('reported');
  });

  test('updated but left off is to be confirmed', async () => {
    expect(await log(three, 'updated', '--version-read', '4.2.0', '--left', 'off')).toMatchObject({
      json: { status: 'to-confirm' },
    });
  });

  test('failed, with all that goes with it', async () => {
    const photo = workspace.file('plate.JPG', 'not really a photo');
    const second = workspace.file('display', 'another');
    const result = await log(
      one,
      'failed',
      '--release',
      'rill-40@4.0.0',
      '--cause',
      'unit',
      '--left',
      'locked-off',
      '--card',
      'blue 3',
      '--by',
      'M. Tansy',
      '--at',
      '2026-06-01T14:30',
      '--photo',
      photo,
      '--photo',
      second,
      '--case',
      '4471',
      '--told',
      'Mx Reed',
      '--note',
      '  no light\nat all ',
      '--version-before',
      '3.8.0',
      '--lights',
      'refused',
    );
    expect(result).toMatchObject({ exit: 0, json: { status: 'failed', left: 'locked-off' } });
    const row = logged()[0]!;
    const digest = spawnSync('sha256sum', [photo], { encoding: 'utf8' }).stdout.slice(0, 64);
    expect(row.body).toMatchObject({
      outcome: 'failed',
      evidence: 'lights',
      cause: 'unit',
      left: 'locked-off',
      card: 'blue 3',
      case: '4471',
      told: 'Mx Reed',
      note: 'no light at all',
      photos: [
        { sha256: digest, bytes: 18, name: 'plate.JPG' },
        { name: 'display', bytes: 7 },
      ],
    });
    expect(row).toMatchObject({ typedBy: 'R. Quill', doneBy: 'M. Tansy' });
    expect(row.claimedAt).toMatch(/^2026-06-01T14:30:00\.000[+-]\d\d:\d\d$/);
    const copy = join(workspace.path, 'evidence', `${digest}.jpg`);
    expect(readFileSync(copy, 'utf8')).toBe('not really a photo');
    expect(statSync(copy).mode & 0o777).toBe(0o600);
    expect(readdirSync(join(workspace.path, 'evidence'))).toHaveLength(2);
  });

  test('a failure stays until the target was read, whatever is deferred after it', async () => {
    await log(three, 'failed', '--at', '2026-06-01T10:00');
    expect(await log(three, 'deferred', '--reason', 'no-access')).toMatchObject({
      json: { status: 'failed' },
    });
    expect(await log(three, 'updated', '--version-read', '4.2.0')).toMatchObject({
      json: { status: 'current' },
    });
  });

  test('deferred: the reason is kept, nothing else is known by it', async () => {
    expect(await log(three, 'deferred', '--reason', 'unsafe')).toMatchObject({
      exit: 0,
      json: { status: 'overdue' },
    });
    expect(logged()[0]!.body).toEqual({
      serial: three,
      outcome: 'deferred',
      evidence: 'reported',
      release: 'rill-40@4.2.0',
      reason: 'unsafe',
    });
    expect(await log(three, 'deferred')).toMatchObject({ exit: 0 });
  });

  test('a serial in other capitals and blanks is the same unit', async () => {
    expect(await log(` ${one.toLowerCase()} `, 'failed')).toMatchObject({ exit: 0, json: { serial: one } });
  });

  test('the order is that of the times claimed, not of the typing', async () => {
    await log(three, 'updated', '--version-read', '4.2.0', '--at', '2026-06-02T10:00');
    expect(await log(three, 'failed', '--at', '2026-06-01T10:00')).toMatchObject({
      json: { status: 'current' },
    });
  });

  test('for people: the entry, then the status', async () => {
    const { stdout } = await runCli(['log', three, 'updated', '--version-read', '4.2', '--as', 'R. Quill'], {
      workspace: workspace.path,
    });
    expect(stdout).toMatch(
      /^Logged as [a-z0-9]{8}-\d+: TRB\d+ updated \(rill-40@4\.2\.0\)\.\nStatus: current\.\n$/,
    );
  });
});

describe('an updated whose version read is not the release’s', () => {
  test('without a person it is recorded as failed, and said so', async () => {
    const { exit, json, stderr } = await log(three, 'updated', '--version-read', '4.1.0');
    expect([exit, json.outcome, json.said, json.status]).toEqual([0, 'failed', 'updated', 'failed']);
    expect(stderr).toContain('recorded as failed');
    expect(logged()[0]!.body).toEqual({
      serial: three,
      outcome: 'failed',
      said: 'updated',
      evidence: 'read',
      release: 'rill-40@4.2.0',
      versionRead: '4.1.0',
    });
  });

  test('a version written another way is the same version', async () => {
    expect(await log(three, 'updated', '--version-read', '04.2')).toMatchObject({
      json: { outcome: 'updated', status: 'current' },
    });
  });

  test('a version further along the path says which release it was', async () => {
    expect(await log(one, 'updated', '--version-read', '4.2.0')).toMatchObject({
      json: { outcome: 'updated', release: 'rill-40@4.2.0', status: 'current' },
    });
  });

  test('for a release that was named, it is that release which counts', async () => {
    expect(await log(one, 'updated', '--version-read', '4.2.0', '--release', '4.0.0')).toMatchObject({
      json: { outcome: 'failed' },
    });
  });
});

describe('what is refused, with nothing written', () => {
  const cases: [string, string[], string][] = [
    ['no serial', [], 'answer-missing'],
    ['no outcome', [one], 'answer-missing'],
    ['no such outcome', [one, 'done'], 'outcome-unknown'],
    ['already-current unread', [one, 'already-current'], 'answer-missing'],
    ['a reason without a deferral', [one, 'failed', '--reason', 'no-time'], 'option-misplaced'],
    ['a cause without a failure', [one, 'deferred', '--cause', 'card'], 'option-misplaced'],
    ['a time in the future', [one, 'failed', '--at', '2999-01-01T10:00'], 'time-future'],
    ['no time', [one, 'failed', '--at', 'yesterday'], 'time-form'],
    ['a day that is none', [one, 'failed', '--at', '2026-02-30'], 'time-form'],
    ['another product', [one, 'failed', '--release', 'lume-2@7'], 'other-product'],
    ['an unknown release', [one, 'failed', '--release', '9.9'], 'release-unknown'],
    ['no version', [one, 'updated', '--version-read', 'newest'], 'version-form'],
    ['no pattern of its lights', [one, 'updated', '--lights', 'green'], 'pattern-unknown'],
    ['an empty note', [one, 'failed', '--note', ' '], 'text-unfit'],
    ['a note that is too long', [one, 'failed', '--note', 'x'.repeat(2001)], 'text-unfit'],
    ['control characters', [one, 'failed', '--told', 'a\u0007b'], 'text-unfit'],
    ['an absent photo', [one, 'failed', '--photo', '/nowhere/at/all.jpg'], 'file-absent'],
    ['an unregistered serial', [pumpSerial(77), 'failed'], 'unit-unknown'],
  ];
  test.each(cases)('%s', async (_name, args, code) => {
    expect(await log(...args)).toMatchObject({ exit: 2, json: { command: 'log', error: { code } } });
    expect(logged()).toEqual([]);
  });

  test('an outcome that is none: note is named as well', async () => {
    expect((await log(one, 'done')).json.error.expected).toContain('note');
  });

  test('an empty photo', async () => {
    expect(await log(one, 'failed', '--photo', workspace.file('empty.jpg', ''))).toMatchObject({
      exit: 2,
      json: { error: { code: 'photo-empty' } },
    });
    expect(logged()).toEqual([]);
  });

  test('values that are not on an option’s list', async () => {
    for (const args of [
      ['--left', 'gone'],
      ['--reason', 'tired'],
      ['--cause', 'weather'],
    ]) {
      expect((await log(one, 'failed', ...args)).exit).toBe(2);
    }
    expect(logged()).toEqual([]);
  });

  test('who types is not known: the error names --as', async () => {
    const { exit, json } = await cli('log', one, 'failed');
    expect([exit, json.error.next]).toEqual([2, expect.stringContaining('--as')]);
    expect(logged()).toEqual([]);
  });

  test('a serial with two digits swapped: the right one is offered, not taken', async () => {
    const { exit, json } = await log(one.replace('18', '81'), 'failed');
    expect([exit, json.error.expected, json.error.next]).toMatchObject([
      2,
      one,
      expect.stringContaining(one),
    ]);
  });

  test('no register at all', async () => {
    const other = join(workspace.path, 'other');
    const { exit, json } = await runCli(['log', one, 'failed', '--as', 'x', '--json'], { workspace: other });
    expect([exit, json.error.code, existsSync(other)]).toEqual([2, 'unit-unknown', false]);
  });
});

test('a record that cannot be used is told with exit 7, and left alone', async () => {
  const bytes = 'this is no record\n'.repeat(100);
  writeFileSync(workspace.record, bytes);
  for (const args of [
    ['log', one, 'failed', '--as', 'x'],
    ['units', 'list'],
    ['record', 'check'],
    ['record', 'mark'],
  ]) {
    expect(await cli(...args)).toMatchObject({
      exit: 7,
      json: { error: { code: 'not-a-record', where: workspace.record } },
    });
  }
  expect(readFileSync(workspace.record, 'utf8')).toBe(bytes);
});

test('a photo that is no picture is kept, and said; a picture is not', async () => {
  const told = async (name: string, content: string | Buffer) => {
    const photo = workspace.file(name, content as string);
    const { exit, stderr } = await log(one, 'failed', '--photo', photo);
    expect(exit).toBe(0);
    return stderr;
  };
  expect(await told('notes.jpg', 'no picture at all')).toContain('does not begin like a picture');
  expect(await told('plate.png', Buffer.from('89504e470d0a1a0a0000', 'hex'))).not.toContain('picture');
});

test('lights that speak against an update: refused alone; beside a version that was read they are told', async () => {
  const alone = await log(one, 'updated', '--lights', 'writing');
  expect([alone.exit, alone.json.error.code]).toEqual([2, 'lights-contradict']);
  const { json } = await log(one, 'updated', '--lights', 'writing', '--version-read', '4.2.0');
  expect(json).toMatchObject({ outcome: 'updated', evidence: 'read', status: 'current' });
  expect(json.notices.join()).toContain('writing speaks against an update; the version read counts');
  const agreeing = await log(one, 'updated', '--lights', 'taken', '--version-read', '4.2.0');
  expect(agreeing.json.notices.join()).not.toContain('speaks against');
});
