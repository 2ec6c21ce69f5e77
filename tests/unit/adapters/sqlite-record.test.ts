// The file itself: how it is made, what is refused in its place, what happens when it is busy, full or damaged.
import { spawnSync } from 'node:child_process';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { applicationId, migrations } from '../../../src/adapters/record/sqlite/migrations.ts';
import { sqliteFailure } from '../../../src/adapters/record/sqlite/sqlite-failure.ts';
import { SqliteRecord } from '../../../src/adapters/record/sqlite/sqlite-record.ts';
import type { EntryDraft } from '../../../src/ports/record-store.ts';
import { draftEntry } from '../../../src/record/entry.ts';
import { recordRules } from '../../../src/record/record-rules.ts';
import { Failure } from '../../../src/words/failure.ts';
import { formatLocalTime } from '../../../src/words/local-time.ts';
import { newYear, utc } from '../../support/entries.ts';
import { type SqlitePlace, sqlitePlace } from '../../support/sqlite-place.ts';

let place: SqlitePlace;
beforeEach(() => {
  place = sqlitePlace();
});
afterEach(() => place.remove());

const signature = { claimedAt: formatLocalTime(newYear, utc), typedBy: 'R. Quill' };
const added = (serial: string, notes = 'x'): EntryDraft =>
  draftEntry('unit-added', signature, {
    serial,
    product: 'rill-40',
    hardware: 'B',
    site: 'Alder Farm',
    details: { notes },
  });

async function facts(work: () => unknown): Promise<Failure['facts']> {
  try {
    await work();
  } catch (error) {
    if (error instanceof Failure) return error.facts;
    throw error;
  }
  throw new Error('no failure');
}

test('to read what is not there makes nothing', () => {
  expect(place.tryOpen('read')).toBeUndefined();
  expect(readdirSync(place.folder)).toEqual([]);
});

test('made whole, for its user alone, with nothing left beside it', async () => {
  const store = place.open();
  expect(store.laptop).toMatch(/^[a-km-np-z][a-km-np-z2-9]{7}$/);
  await store.append([added('A')]);
  const files = readdirSync(place.folder).sort();
  const notes = ['record.db-end', 'record.db-place'];
  expect(files).toEqual(['record.db', ...notes, 'record.db-shm', 'record.db-wal']);
  for (const file of files)
    expect((statSync(join(place.folder, file)).mode & 0o777).toString(8), file).toBe('600');
  store.close();
  expect(readdirSync(place.folder).sort()).toEqual(['record.db', ...notes]);
  expect(place.open('read').laptop).toBe(store.laptop);
});

test('durable: write-ahead log, synchronous FULL', async () => {
  const store = place.open();
  await store.append([added('A')]);
  const sql = 'PRAGMA journal_mode; PRAGMA application_id; PRAGMA user_version;';
  const said = spawnSync('sqlite3', [place.path, sql], { encoding: 'utf8' }).stdout.trim().split('\n');
  expect(said).toEqual(['wal', String(applicationId), String(migrations.length)]);
});

test.each<[string, (path: string) => void, string]>([
  ['a folder', (path) => mkdirSync(path), 'not-a-record'],
  ['a text', (path) => writeFileSync(path, 'serial,site\n'.repeat(200)), 'not-a-record'],
  ['an empty file', (path) => writeFileSync(path, ''), 'record-damaged'],
  [
    'a database of another program',
    (path) => void spawnSync('sqlite3', [path, 'CREATE TABLE t (a)']),
    'not-a-record',
  ],
  ['a write-ahead log alone', (path) => writeFileSync(`${path}-wal`, 'x'), 'record-damaged'],
])('in its place: %s', async (_name, make, code) => {
  make(place.path);
  const before =
    existsSync(place.path) && statSync(place.path).isFile() ? readFileSync(place.path) : undefined;
  expect(await facts(() => place.open('write'))).toMatchObject({ code, exit: 7, where: place.path });
  if (before !== undefined) expect(readFileSync(place.path).equals(before)).toBe(true);
  expect((await facts(() => place.open('read'))).exit).toBe(7);
});

test('a folder that is not there, or is a file', async () => {
  rmSync(place.folder, { recursive: true });
  expect((await facts(() => place.open())).exit).toBe(7);
  writeFileSync(place.folder, '');
  expect((await facts(() => place.open())).exit).toBe(7);
});

test('a record of a newer version is refused, to read as well as to write, and left alone', async () => {
  place.open().close();
  spawnSync('sqlite3', [place.path, 'PRAGMA user_version = 99']);
  for (const access of ['read', 'write'] as const) {
    expect(await facts(() => place.open(access))).toMatchObject({ code: 'record-newer', exit: 7 });
  }
  expect(spawnSync('sqlite3', [place.path, 'PRAGMA user_version'], { encoding: 'utf8' }).stdout.trim()).toBe(
    '99',
  );
});

test('without a laptop id it is damaged', async () => {
  place.open().close();
  spawnSync('sqlite3', [place.path, 'DELETE FROM own']);
  expect(await facts(() => place.open())).toMatchObject({ code: 'record-damaged', exit: 7 });
});

test('busy past its wait: told, nothing written; free again: written', async () => {
  const store = place.open('write', 60);
  await store.append([added('A')]);
  const other = new Database(place.path);
  other.exec('BEGIN IMMEDIATE');
  expect(await facts(() => store.append([added('B')]))).toMatchObject({ code: 'record-busy', exit: 7 });
  expect(await store.unit('A')).toMatchObject({ serial: 'A' });
  other.exec('COMMIT');
  other.close();
  await store.append([added('B')]);
  expect(await store.check()).toMatchObject({ entries: 2, findings: [] });
});

function opened(): { database: Database.Database; store: SqliteRecord<unknown> } {
  const laptop = place.open().laptop;
  const database = new Database(place.path);
  const clock = { ...utc, now: () => newYear, startOfLocalDay: () => newYear };
  return {
    database,
    store: new SqliteRecord(database, { path: place.path, laptop, clock, rules: recordRules }),
  };
}

test('full: told, nothing of the batch is there, the rest is whole; with room again it goes on', async () => {
  const { database, store } = opened();
  await store.append([added('A')]);
  const pages = database.pragma('page_count', { simple: true });
  database.pragma(`max_page_count = ${Number(pages) + 4}`);
  const batch = Array.from({ length: 200 }, (_, i) => added(`B${i}`, 'long '.repeat(80)));
  expect(await facts(() => store.append(batch))).toMatchObject({ code: 'record-disk-full', exit: 7 });
  expect(await store.check()).toMatchObject({ entries: 1, units: 1, findings: [] });
  database.pragma('max_page_count = 100000');
  await store.append(batch);
  expect(await store.check()).toMatchObject({ entries: 201, units: 201, findings: [] });
  store.close();
});

test('entries are never changed, removed or replaced, not even by SQL', async () => {
  await place.open().append([added('A')]);
  const database = new Database(place.path);
  for (const sql of [
    "UPDATE entries SET kind = 'x'",
    'DELETE FROM entries',
    "INSERT OR REPLACE INTO entries SELECT laptop, seq, 'x', serial, claimed_ms, written_ms, hash, text FROM entries",
  ]) {
    expect(() => database.exec(sql), sql).toThrow(/an entry is never/);
  }
  expect(database.prepare("SELECT count(*) FROM entries WHERE kind = 'unit-added'").pluck().get()).toBe(1);
  database.close();
});

test('the chain never grows on an end that is not the one last noted', async () => {
  const store = place.open();
  await store.append([added('A'), added('B')]);
  const cut = 'DROP TRIGGER entries_are_never_removed; DELETE FROM entries WHERE seq = 2;';
  spawnSync('sqlite3', [place.path, cut]);
  expect(await facts(() => store.append([added('C')]))).toMatchObject({ code: 'record-damaged', exit: 7 });
});

test('one unit, one laptop, one kind are found by an index; nothing scans the entries', async () => {
  const { database, store } = opened();
  await store.append([added('A')]);
  const asked: string[] = [];
  const prepare = database.prepare.bind(database);
  database.prepare = ((sql: string) => {
    asked.push(sql);
    return prepare(sql);
  }) as typeof database.prepare;
  const fresh = new SqliteRecord(database, {
    path: place.path,
    laptop: store.laptop,
    clock: { ...utc, now: () => newYear, startOfLocalDay: () => newYear },
    rules: recordRules,
  });
  await fresh.append([added('B')]);
  await fresh.unit('A');
  await fresh.entry(`${store.laptop}-1`);
  for await (const _ of fresh.units({ product: 'rill-40' })) _;
  for await (const _ of fresh.units({ site: 'Alder Farm', claimedBeforeMs: newYear })) _;
  for (const query of [{ serial: 'A' }, { laptop: store.laptop }, { kind: 'outcome', claimedFromMs: 5 }]) {
    for await (const _ of fresh.entries(query)) _;
  }
  expect(asked.length).toBeGreaterThan(10);
  const plans = asked.flatMap((sql) => {
    const named = Object.fromEntries([...sql.matchAll(/@([a-zA-Z_]+)/g)].map(([, name]) => [name, 1]));
    const blanks = [...sql.matchAll(/\?/g)].map(() => 1);
    const rows = prepare(`EXPLAIN QUERY PLAN ${sql}`).all(
      ...blanks,
      ...(Object.keys(named).length > 0 ? [named] : []),
    );
    return (rows as { detail: string }[]).map(({ detail }) => detail);
  });
  expect(plans.filter((detail) => /SCAN entries|TEMP B-TREE/.test(detail))).toEqual([]);
  expect(plans.filter((detail) => /SEARCH entries USING INDEX/.test(detail)).length).toBeGreaterThan(4);
  // The judge sees a scan where there is one.
  const scan = prepare("EXPLAIN QUERY PLAN SELECT * FROM entries WHERE text = 'x'").all() as {
    detail: string;
  }[];
  expect(scan[0]!.detail).toContain('SCAN entries');
  store.close();
});

test('pages overwritten with rubbish are told, and the check does not fall over them', async () => {
  const store = place.open();
  await store.append(Array.from({ length: 300 }, (_, i) => added(`S${i}`)));
  store.close();
  const whole = readFileSync(place.path);
  const pageBytes = whole.readUInt16BE(16);
  const sound = join(place.folder, 'sound');
  copyFileSync(place.path, sound);
  let told = 0;
  for (let page = 1; page < whole.length / pageBytes; page += 3) {
    const bytes = Buffer.from(whole);
    bytes.fill(0xa5, page * pageBytes, (page + 1) * pageBytes);
    writeFileSync(place.path, bytes);
    try {
      const damaged = place.open('read');
      const { findings } = await damaged.check();
      expect(
        findings.some(({ severity }) => severity === 'stop'),
        `page ${page}`,
      ).toBe(true);
      damaged.close();
    } catch (error) {
      expect(error, `page ${page}`).toBeInstanceOf(Failure);
      expect((error as Failure).facts).toMatchObject({ exit: 7, code: 'record-damaged' });
    }
    told += 1;
  }
  expect(told).toBeGreaterThan(10);
  copyFileSync(sound, place.path);
  expect((await place.open('read').check()).findings).toEqual([]);
});

test.each([
  ['SQLITE_BUSY_SNAPSHOT', 'record-busy'],
  ['SQLITE_READONLY_DBMOVED', 'record-read-only'],
  ['SQLITE_CANTOPEN', 'record-not-opened'],
  ['SQLITE_FULL', 'record-disk-full'],
  ['SQLITE_IOERR_WRITE', 'record-drive-failed'],
  ['SQLITE_IOERR_SHMSIZE', 'record-disk-full'],
  ['SQLITE_IOERR_LOCK', 'record-not-locked'],
  ['SQLITE_CORRUPT_INDEX', 'record-damaged'],
  ['SQLITE_NOTADB', 'not-a-record'],
])('what SQLite says, in our words: %s', (code, expected) => {
  const failure = sqliteFailure(Object.assign(new Error('as it says'), { code }), '/w/record.db');
  expect(failure).toBeInstanceOf(Failure);
  expect((failure as Failure).facts).toMatchObject({ code: expected, exit: 7, where: '/w/record.db' });
});

test('who only reads is not told that nothing was written; who writes is', () => {
  for (const code of ['SQLITE_BUSY', 'SQLITE_FULL', 'SQLITE_IOERR_SHMSIZE', 'SQLITE_IOERR_LOCK']) {
    const told = (access: 'read' | 'write') => {
      const failure = sqliteFailure(Object.assign(new Error('x'), { code }), '/w/record.db', access);
      const { summary, next } = (failure as Failure).facts;
      return `${summary} ${next}`;
    };
    expect(told('read')).not.toMatch(/nothing was written/i);
    expect(told('write')).toMatch(/nothing was written/i);
  }
});

test('what is no trouble of the file stays a bug', () => {
  for (const error of [
    new TypeError('x'),
    Object.assign(new Error('x'), { code: 'SQLITE_CONSTRAINT_TRIGGER' }),
  ]) {
    expect(sqliteFailure(error, '/w')).toBe(error);
  }
});
