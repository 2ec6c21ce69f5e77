// `record backup`, `restore` and `salvage` as a person runs them. The stock sqlite3 program judges what is in the files.
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { bundleForNode } from '../support/bundle-for-node.ts';
import { recordRows } from '../support/record-rows.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { runCli } from '../support/run-cli.ts';

let workspace: RegisterWorkspace;
let backup: string;
beforeEach(async () => {
  workspace = registerWorkspace();
  backup = join(workspace.path, 'backup.db');
  for (const number of [1, 2, 3]) await cli('units', 'add', pumpSerial(number), '--site', 'Alder Farm');
});
afterEach(() => workspace.remove());

const cli = (...args: string[]) => runCli([...args, '--json'], { workspace: workspace.path });
const at =
  (path: string) =>
  (...args: string[]) =>
    runCli([...args, '--json'], { workspace: path });
const partsLeft = (folder: string) => readdirSync(folder).filter((name) => name.includes('.part'));

test('a checked copy for its user alone; says what is not in it; replaces nothing', async () => {
  mkdirSync(join(workspace.path, 'evidence'), { recursive: true });
  writeFileSync(join(workspace.path, 'evidence', 'a.jpg'), 'x');
  const { exit, json } = await cli('record', 'backup', backup);
  expect(exit).toBe(0);
  expect(json).toMatchObject({ verdict: 'intact', path: backup, entries: 3, units: 3, findings: [] });
  expect(json.bytes).toBe(statSync(backup).size);
  expect(json.notIncluded).toContainEqual({ folder: join(workspace.path, 'evidence'), files: 1 });
  expect((statSync(backup).mode & 0o777).toString(8)).toBe('600');
  expect(recordRows(backup)).toEqual(recordRows(workspace.record));
  expect(partsLeft(workspace.path)).toEqual([]);
  const bytes = readFileSync(backup);
  expect(await cli('record', 'backup', backup)).toMatchObject({
    exit: 2,
    json: { error: { code: 'file-exists' } },
  });
  expect(readFileSync(backup).equals(bytes)).toBe(true);
  const none = join(workspace.path, 'none');
  expect((await cli('record', 'backup', join(none, 'b.db'))).json.error.summary).toBe(
    `The folder ${none} does not exist.`,
  );
  const text = (await runCli(['record', 'backup', `${backup}2`], { workspace: workspace.path })).stdout;
  expect(text).toContain('evidence (1 file)');
  expect(text.trim().split('\n').at(-1)).toMatch(/^Backed up and checked: 3 entries/);
});

test('no record: exit 2. A damaged one: exit 3 and no back-up', async () => {
  const other = join(workspace.path, 'other');
  expect(await at(other)('record', 'backup', backup)).toMatchObject({
    exit: 2,
    json: { error: { code: 'record-missing' } },
  });
  const sql =
    "DROP TRIGGER entries_are_never_changed; UPDATE entries SET text = replace(text, 'Alder', 'Elder')";
  spawnSync('sqlite3', [workspace.record, sql]);
  expect(await cli('record', 'backup', backup)).toMatchObject({
    exit: 3,
    json: { verdict: 'damaged', path: null },
  });
  expect(existsSync(backup)).toBe(false);
  expect(partsLeft(workspace.path)).toEqual([]);
  expect((await cli('record', 'backup', join(workspace.path, 'none', 'x.db'))).exit).not.toBe(0);
});

test('while others write: one moment of the record, whole', async () => {
  const writer = await bundleForNode('record-writer', workspace.path);
  const child = spawn(process.execPath, [writer, workspace.record, '0', 'w'], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  await new Promise((resolve) => child.stdout.once('data', resolve));
  child.stdout.resume();
  try {
    const now = { workspace: workspace.path };
    let last = 0;
    for (const number of [1, 2, 3]) {
      const path = `${backup}${number}`;
      expect((await runCli(['record', 'backup', path, '--json'], now)).exit).toBe(0);
      const rows = recordRows(path);
      expect(rows.map(({ seq }) => seq)).toEqual(rows.map((_, i) => i + 1));
      // Pairs are written in one transaction, after the three units.
      expect((rows.length - 3) % 2).toBe(0);
      expect(rows.length).toBeGreaterThan(last);
      last = rows.length;
    }
  } finally {
    child.kill('SIGKILL');
  }
});

test('restored elsewhere: the same entries, a laptop id of its own, and both records can be brought together', async () => {
  await cli('record', 'backup', backup);
  const there = at(join(workspace.path, 'there'));
  const { exit, json } = await there('record', 'restore', backup);
  expect([exit, json.verdict, json.entries, json.setAside, json.lacking]).toEqual([0, 'intact', 3, null, []]);
  const [own] = (await cli('record', 'mark')).json.marks;
  expect(json.laptop).not.toBe(own.laptop);
  await there('log', pumpSerial(1), 'note', '--note', 'there', '--as', 'R. Quill');
  await cli('log', pumpSerial(1), 'note', '--note', 'here', '--as', 'R. Quill');
  const marks = (await there('record', 'check')).json.marks;
  expect(marks.map(({ laptop, seq }: any) => [laptop, seq]).sort()).toEqual(
    [
      [own.laptop, 3],
      [json.laptop, 1],
    ].sort(),
  );
  const packet = join(workspace.path, 'there.packet');
  await there('record', 'pack', packet);
  expect(await cli('record', 'take-in', packet)).toMatchObject({ exit: 0, json: { findings: [] } });
  expect(recordRows(workspace.record)).toHaveLength(5);
});

test('a record that is there is not replaced; set aside, it is kept, and what the back-up lacks is told', async () => {
  await cli('record', 'backup', backup);
  await cli('log', pumpSerial(1), 'note', '--note', 'later', '--as', 'R. Quill');
  const before = recordRows(workspace.record);
  expect(await cli('record', 'restore', backup)).toMatchObject({
    exit: 2,
    json: { error: { code: 'record-there' } },
  });
  expect(recordRows(workspace.record)).toEqual(before);
  const { exit, json } = await cli('record', 'restore', backup, '--set-aside');
  expect(exit).toBe(0);
  expect(json.lacking).toMatchObject([{ fromSeq: 4, toSeq: 4 }]);
  expect(recordRows(join(json.setAside, 'record.db'))).toEqual(before);
  expect(recordRows(workspace.record)).toEqual(before.slice(0, 3));
  expect((await cli('record', 'check')).json).toMatchObject({ verdict: 'intact', findings: [] });
});

test('what is no back-up, is damaged or absent restores nothing', async () => {
  const there = join(workspace.path, 'there');
  await cli('record', 'backup', backup);
  expect(await at(there)('record', 'restore', `${backup}.none`)).toMatchObject({ exit: 2 });
  writeFileSync(`${backup}.txt`, 'serial,site\n'.repeat(999));
  spawnSync('sqlite3', [`${backup}.other`, 'CREATE TABLE entries (text)']);
  const header = readFileSync(backup);
  writeFileSync(`${backup}.header`, header.fill(0, 0, 100));
  writeFileSync(`${backup}.empty`, '');
  const packet = join(workspace.path, 'a.packet');
  expect((await cli('record', 'pack', packet)).exit).toBe(0);
  for (const [file, said] of [
    [`${backup}.txt`, 'serial,site'],
    [`${backup}.other`, 'another program'],
    [`${backup}.header`, 'zeros'],
    [`${backup}.empty`, 'empty'],
    [packet, 'record take-in'],
    [workspace.path, 'a folder'],
  ] as const) {
    const told = await at(there)('record', 'restore', file);
    expect([told.exit, told.json.error.code], file).toEqual([2, 'not-a-backup']);
    expect(JSON.stringify(told.json.error)).toContain(said);
    // Nor does it touch a record that is there.
    const before = readFileSync(workspace.record);
    for (const more of [[], ['--set-aside']])
      expect((await cli('record', 'restore', file, ...more)).json.error.code).toBe('not-a-backup');
    expect(readFileSync(workspace.record)).toEqual(before);
    expect(readdirSync(workspace.path).filter((name) => name.startsWith('record-before'))).toEqual([]);
  }
  const sql = 'DROP TRIGGER entries_are_never_removed; DELETE FROM entries WHERE seq = 2';
  spawnSync('sqlite3', [backup, sql]);
  expect(await at(there)('record', 'restore', backup)).toMatchObject({
    exit: 3,
    json: { verdict: 'damaged' },
  });
  expect(readdirSync(there).filter((name) => name.startsWith('record'))).toEqual([]);
});

test('a log that lost its record is set aside, never played into the one restored', async () => {
  await cli('record', 'backup', backup);
  rmSync(workspace.record);
  writeFileSync(`${workspace.record}-wal`, Buffer.alloc(5000, 1));
  expect((await cli('record', 'restore', backup)).exit).toBe(2);
  expect((await cli('record', 'restore', backup, '--set-aside')).exit).toBe(0);
  expect(existsSync(`${workspace.record}-wal`)).toBe(false);
  expect((await cli('record', 'check')).exit).toBe(0);
});

test('salvage: a damaged record, what is saved and missing, and restored from there', async () => {
  for (const note of ['n'.repeat(2000), 'm'.repeat(2000), 'o'.repeat(2000), 'p'.repeat(2000)]) {
    expect((await cli('log', pumpSerial(1), 'note', '--note', note, '--as', 'R. Quill')).exit).toBe(0);
  }
  const saved = join(workspace.path, 'saved.db');
  const bytes = readFileSync(workspace.record);
  const page = Math.floor(bytes.indexOf('m'.repeat(2000)) / 4096) * 4096;
  bytes.fill(0, page, page + 4096);
  bytes.fill(0, 0, 4096);
  writeFileSync(workspace.record, bytes);
  const failed = await cli('units', 'list');
  expect(failed).toMatchObject({ exit: 7 });
  const { exit, json } = await cli('record', 'salvage', saved);
  expect(exit).toBe(4);
  expect(json.chains).toHaveLength(1);
  const [{ saved: kept, missing, loose }] = json.chains;
  expect(missing.length).toBeGreaterThan(0);
  expect(kept + loose + missing[0].toSeq - missing[0].fromSeq + 1).toBe(7);
  expect(json).toMatchObject({
    verdict: 'damaged',
    entries: kept,
    loosePath: `${saved}.loose`,
    findings: [],
  });
  const text = (await runCli(['record', 'salvage', `${saved}2`], { workspace: workspace.path })).stdout;
  expect(text).toMatch(/^Missing: [a-z0-9]{8}-\d/m);
  expect(await cli('record', 'restore', saved, '--set-aside')).toMatchObject({
    exit: 0,
    json: { entries: kept },
  });
  expect((await cli('units', 'list')).json.units).toHaveLength(Math.min(kept, 3));
});

test('salvage of an intact record, and with a file that holds nothing: both are said', async () => {
  const saved = join(workspace.path, 'saved.db');
  const useless = join(workspace.path, 'notes.txt');
  writeFileSync(useless, 'no entry in here\n'.repeat(500));
  await cli('record', 'backup', backup);
  const { exit, json } = await cli('record', 'salvage', saved, '--with', useless, '--with', backup);
  expect([exit, json.needed]).toEqual([0, false]);
  expect(json.findings).toMatchObject([{ code: 'no-entry-in-file', severity: 'warn', where: useless }]);
  const { stdout } = await runCli(['record', 'salvage', `${saved}2`], { workspace: workspace.path });
  expect(stdout).toContain('nothing has to be restored');
  expect(stdout).not.toContain('--set-aside');
  // What the record itself lacks: then it is needed.
  spawnSync('sqlite3', [
    workspace.record,
    'DROP TRIGGER entries_are_never_removed; DELETE FROM entries WHERE seq = 2',
  ]);
  const needed = await cli('record', 'salvage', `${saved}3`, '--with', backup);
  expect([needed.exit, needed.json.needed, needed.json.entries]).toEqual([0, true, 3]);
});
