// Corrections and notes by the command line: both entries stay, one of them counts, everywhere.
import { spawnSync } from 'node:child_process';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { recordRows } from '../support/record-rows.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { type CliResult, runCli } from '../support/run-cli.ts';

const [one, two] = [pumpSerial(1), pumpSerial(2)];
let workspace: RegisterWorkspace;
beforeEach(async () => {
  workspace = registerWorkspace();
  const csv = workspace.file(
    'fleet.csv',
    `serial,site,product,hardware,version\n${one},Alder Farm,rill-40,B,4.0.0\n${two},Birch,rill-40,B,4.0.0\n`,
  );
  await runCli(['units', 'import', csv], { workspace: workspace.path });
});
afterEach(() => workspace.remove());

const cli = (...args: string[]): Promise<CliResult> =>
  runCli([...args, '--json'], { workspace: workspace.path });
const log = (...args: string[]) => cli('log', ...args, '--as', 'R. Quill');
const rows = (kind: string) => recordRows(workspace.record).filter((row) => row.kind === kind);
async function logged(...args: string[]): Promise<string> {
  const { exit, json } = await log(...args);
  expect(exit).toBe(0);
  return json.entry.id;
}

test('what is said anew counts; the rest, the time and who did it stay; both are shown', async () => {
  const id = await logged(
    ...[one, 'updated', '--version-read', '4.2.0', '--at', '2026-11-20T10:00', '--by', 'M. Tansy'],
  );
  const wrong = rows('outcome')[0]!;
  const { exit, json } = await log('--corrects', id, 'failed', '--cause', 'card', '--why', 'wrong key');
  expect([exit, json.status, json.corrects, json.outcome]).toEqual([0, 'failed', id, 'failed']);
  const correction = rows('correction')[0]!;
  expect(correction).toMatchObject({
    claimedAt: wrong.claimedAt,
    doneBy: 'M. Tansy',
    typedBy: 'R. Quill',
    body: {
      serial: one,
      corrects: { id, hash: wrong.hash },
      kind: 'outcome',
      why: 'wrong key',
      body: { serial: one, outcome: 'failed', cause: 'card', versionRead: '4.2.0', evidence: 'read' },
    },
  });
  const shown = await cli('units', 'show', one);
  const entries = shown.json.entries as { id: string; correctedBy: string | null; counts?: boolean }[];
  expect(entries.find((entry) => entry.id === id)?.correctedBy).toBe(json.entry.id);
  expect(entries.find((entry) => entry.id === json.entry.id)?.counts).toBe(true);
  const { stdout } = await runCli(['units', 'show', one], { workspace: workspace.path });
  expect(stdout).toContain(`${id}; corrected by ${json.entry.id}]`);
  expect(stdout).toContain(`${id} is corrected: failed`);
  expect((await cli('record', 'check')).json.verdict).toBe('intact');
});

test('the audit counts it too, also as of an earlier day', async () => {
  const id = await logged(one, 'updated', '--version-read', '4.2.0', '--at', '2026-11-20T10:00');
  const trials = async (...args: string[]) => {
    const { json } = await cli('audit', ...args);
    return [json.counts.current, json.releases.map(({ tried, failed }: any) => [tried, failed])[0]];
  };
  expect(await trials()).toEqual([1, [1, 0]]);
  await log('--corrects', id, 'failed', '--version-read', '4.0.0', '--left', 'running', '--why', 'x');
  expect(await trials()).toEqual([0, [1, 1]]);
  expect(await trials('--as-of', '2026-11-21')).toEqual([0, [1, 1]]);
  await log('--corrects', id, '--void', '--why', 'never there');
  expect(await trials()).toEqual([0, [0, 0]]);
  expect(await trials('--as-of', '2026-11-21')).toEqual([0, [0, 0]]);
});

test('a time that was wrong', async () => {
  const id = await logged(one, 'updated', '--version-read', '4.2.0', '--at', '2026-11-20T10:00');
  expect((await cli('audit', '--as-of', '2026-11-18')).json.counts.current).toBe(0);
  expect((await log('--corrects', id, '--at', '2026-11-17T10:00', '--why', 'x')).exit).toBe(0);
  expect((await cli('audit', '--as-of', '2026-11-18')).json.counts.current).toBe(1);
});

test('of several corrections the newest counts; whoever names a correction means its entry', async () => {
  const id = await logged(one, 'updated', '--version-read', '4.2.0');
  const first = (await log('--corrects', id, '--void', '--why', 'x')).json.entry.id;
  const second = await log(one, '--corrects', first, '--note', 'was right', '--why', 'looked again');
  expect(second.json).toMatchObject({ corrects: id, status: 'current', void: false });
  const shown = await runCli(['units', 'show', one], { workspace: workspace.path });
  expect(shown.stdout).toContain(`${first}; outdone by ${second.json.entry.id}]`);
});

test('void twice: nothing is written the second time', async () => {
  const id = await logged(one, 'failed', '--cause', 'card');
  const count = async () => (await cli('units', 'show', one)).json.entries.length;
  expect((await log('--corrects', id, '--void', '--why', 'x')).exit).toBe(0);
  const before = await count();
  const again = await log('--corrects', id, '--void', '--why', 'x');
  expect([again.exit, again.json.error.code]).toEqual([2, 'void-already']);
  expect(await count()).toBe(before);
  // Said anew it counts again, and can be made void again.
  expect((await log('--corrects', id, '--left', 'off', '--why', 'it was')).exit).toBe(0);
  expect((await log('--corrects', id, '--void', '--why', 'x')).exit).toBe(0);
});

test('any other entry can be made void: a unit that was mistyped is no longer registered', async () => {
  await cli('units', 'add', pumpSerial(3), '--site', 'Birch', '--as', 'R. Quill');
  const { json } = await cli('units', 'show', pumpSerial(3));
  const voided = await log('--corrects', json.entries[0].id, '--void', '--why', 'mistyped');
  expect(voided.json).toMatchObject({ status: null, void: true });
  expect((await cli('units', 'show', pumpSerial(3))).json.error.code).toBe('unit-unknown');
  expect((await cli('units', 'add', pumpSerial(3), '--site', 'Birch', '--as', 'R. Quill')).exit).toBe(0);
});

test.each([
  [
    'an id that is not there',
    (_: string) => ['--corrects', 'zzzzzzzz-1', '--void', '--why', 'x'],
    'entry-unknown',
  ],
  ['another unit', (id: string) => [two, '--corrects', id, '--void', '--why', 'x'], 'wrong-unit'],
  ['no reason', (id: string) => ['--corrects', id, '--void'], 'answer-missing'],
  ['nothing different', (id: string) => ['--corrects', id, '--why', 'x'], 'nothing-corrected'],
  [
    'void, and an outcome',
    (id: string) => [one, 'failed', '--corrects', id, '--void', '--why', 'x'],
    'option-misplaced',
  ],
  [
    'void, and a version',
    (id: string) => ['--corrects', id, '--void', '--why', 'x', '--version-read', '4.2.0'],
    'option-misplaced',
  ],
  ['a sheet', (id: string) => ['--corrects', id, '--why', 'x', '--sheet', 'K7MD-29XH'], 'option-misplaced'],
  [
    'an outcome that is none',
    (id: string) => [one, 'fine', '--corrects', id, '--why', 'x'],
    'outcome-unknown',
  ],
  [
    'a cause without a failure',
    (id: string) => ['--corrects', id, '--why', 'x', '--cause', 'card'],
    'option-misplaced',
  ],
  ['void without what', () => [one, 'updated', '--void'], 'option-misplaced'],
  ['why without what', () => [one, 'updated', '--why', 'x'], 'option-misplaced'],
] as const)('refused, and nothing written: %s', async (_, args, code) => {
  const id = await logged(one, 'updated', '--version-read', '4.2.0');
  const before = recordRows(workspace.record).length;
  const { exit, json } = await log(...args(id));
  expect([exit, json.error.code]).toEqual([2, code]);
  expect(recordRows(workspace.record)).toHaveLength(before);
});

test('a registration is not said anew, only made void', async () => {
  const { json } = await cli('units', 'show', one);
  const { exit, json: said } = await log('--corrects', json.entries[0].id, '--note', 'x', '--why', 'x');
  expect([exit, said.error.code]).toEqual([2, 'correct-by-void']);
});

test('notes of a unit, a card, a release and of none change no status', async () => {
  const photo = workspace.file('door.jpg', 'a door');
  const before = (await cli('units', 'show', one)).json.unit;
  const { exit, json } = await log(one, 'note', '--note', 'door sticks', '--photo', photo);
  expect([exit, json.note.serial, json.note.text]).toEqual([0, one, 'door sticks']);
  expect((await log('note', '--note', 'slow reader', '--card', 'KF-03')).json.note).toEqual({
    card: 'KF-03',
    text: 'slow reader',
  });
  expect((await log('note', '--note', 'helpline shut', '--release', 'rill-40@4.2.0')).exit).toBe(0);
  expect((await log('note', '--note', 'frost')).json.note).toEqual({ text: 'frost' });
  const digest = spawnSync('sha256sum', [photo], { encoding: 'utf8' }).stdout.slice(0, 64);
  expect(rows('note')[0]?.body.photos).toEqual([{ sha256: digest, bytes: 6, name: 'door.jpg' }]);
  const after = await cli('units', 'show', one);
  expect(after.json.unit).toEqual(before);
  expect(after.json.entries.at(-1).kind).toBe('note');
  expect((await log(one, 'note', '--note', 'x', '--left', 'off')).json.error.code).toBe('option-misplaced');
  expect((await log(one, 'note')).json.error.code).toBe('answer-missing');
});
