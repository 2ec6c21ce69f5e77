// A record that was copied, restored or put back begins a new laptop id before it is written to; one that stayed where
// it is, was moved or only read keeps its own. The judge is the stock copy program, in every way a person uses it.
import { spawn, spawnSync } from 'node:child_process';
import { copyFileSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { systemRandom } from '../../../src/adapters/random/system-random.ts';
import { openSqliteRecord } from '../../../src/adapters/record/sqlite/open-sqlite-record.ts';
import { draftEntry } from '../../../src/record/entry.ts';
import { recordRules } from '../../../src/record/record-rules.ts';
import { formatLocalTime } from '../../../src/words/local-time.ts';
import { bundleForNode } from '../../support/bundle-for-node.ts';
import { day, newYear, utc } from '../../support/entries.ts';
import { type SqlitePlace, sqlitePlace } from '../../support/sqlite-place.ts';

let place: SqlitePlace;
const said: string[] = [];
beforeEach(() => {
  place = sqlitePlace();
  said.length = 0;
});
afterEach(() => place.remove());

const clock = { ...utc, now: () => newYear + 10 * day, startOfLocalDay: () => newYear };
const note = (text: string) =>
  draftEntry('note', { claimedAt: formatLocalTime(newYear, utc), typedBy: 'R. Quill' }, { text });

/** Opens, writes one entry, closes: under which laptop id, and what it says of itself. */
async function write(path: string, access: 'read' | 'write' = 'write'): Promise<string> {
  const say = (line: string) => void said.push(line);
  const store = openSqliteRecord({ path, clock, random: systemRandom, rules: recordRules, say }, access)!;
  try {
    const [entry] = await store.append([note('x')]);
    expect((await store.check()).findings).toEqual([]);
    expect(store.laptop).toBe(entry!.laptop);
    return store.laptop;
  } finally {
    store.close();
  }
}

const sh = (text: string) => expect(spawnSync('sh', ['-ec', text], { cwd: place.folder }).status).toBe(0);

test('where it stays it keeps its id, and where it is moved within a drive', async () => {
  const own = await write(place.path);
  expect(await write(place.path)).toBe(own);
  expect(await write(place.path, 'read')).toBe(own);
  sh('mkdir a; cp record.db a');
  const moved = await write(join(place.folder, 'a/record.db'));
  said.length = 0;
  sh('mv a b');
  expect(await write(join(place.folder, 'b/record.db'))).toBe(moved);
  expect(said).toEqual([]);
});

test.each([
  ['the whole folder', 'mkdir other; cp record.db* other', 'other/record.db'],
  ['with all its times', 'mkdir other; cp -a record.db* other', 'other/record.db'],
  ['the file alone', 'cp record.db other.db', 'other.db'],
])('a copy: %s', async (_name, copy, at) => {
  const own = await write(place.path);
  sh(`mkdir -p old; ${copy}`);
  for (const access of ['read', 'write'] as const) {
    const copied = join(place.folder, at);
    const other = await write(copied, access);
    expect(other).not.toBe(own);
    expect(await write(copied), 'the copy keeps the id that it began').toBe(other);
    expect(said).toEqual([expect.stringContaining(other)]);
  }
});

test('the whole folder put back over itself, as cp does it: the same files, the same numbers', async () => {
  const own = await write(place.path);
  sh('mkdir kept; cp -a record.db* kept');
  expect(await write(place.path)).toBe(own);
  sh('cp -a kept/* .');
  expect(await write(place.path)).not.toBe(own);
  expect(said).toHaveLength(1);
});

test('an earlier state of the file alone in its own place', async () => {
  const own = await write(place.path);
  copyFileSync(place.path, join(place.folder, 'kept'));
  expect(await write(place.path)).toBe(own);
  copyFileSync(join(place.folder, 'kept'), place.path);
  const next = await write(place.path);
  expect(next).not.toBe(own);
  expect(said[0]).toContain(`${own}-2 to 2`);
  // With nothing lost, it is as it was.
  copyFileSync(place.path, join(place.folder, 'kept'));
  renameSync(join(place.folder, 'kept'), place.path);
  expect(await write(place.path)).toBe(next);
});

test('a record of the version before, without a place: it keeps its id, and has one from then on', async () => {
  const own = await write(place.path);
  sh(`sqlite3 record.db 'ALTER TABLE own DROP COLUMN place; PRAGMA user_version = 1'; rm record.db-place`);
  expect(await write(place.path)).toBe(own);
  sh('cp record.db other.db');
  expect(await write(join(place.folder, 'other.db'))).not.toBe(own);
});

test('a record made to append to another chain than its own begins one anew', async () => {
  const own = await write(place.path);
  sh(`sqlite3 record.db "UPDATE own SET laptop = 'zzzzzzzz'"`);
  expect([own, 'zzzzzzzz']).not.toContain(await write(place.path));
});

test('a note beside it that is torn or made up says nothing', async () => {
  const own = await write(place.path);
  for (const text of ['', 'x', `${own}-9`, `${own}-99999999999999999999 ${'a'.repeat(64)}\n`]) {
    writeFileSync(`${place.path}-end`, text);
    expect(await write(place.path)).toBe(own);
  }
  expect(readFileSync(`${place.path}-end`, 'utf8')).toMatch(new RegExp(`^${own}-5 [0-9a-f]{64}\n$`));
});

test('eight programs at once on a copy: one new id, one chain', async () => {
  const own = await write(place.path);
  sh('cp record.db other.db');
  const path = join(place.folder, 'other.db');
  const writer = await bundleForNode('record-writer', place.folder);
  const ends = Array.from({ length: 8 }, (_, i) => {
    const child = spawn(process.execPath, [writer, path, '5', `w${i}`], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    return new Promise<number | null>((resolve) => child.on('close', resolve));
  });
  expect(await Promise.all(ends)).toEqual(Array(8).fill(0));
  const store = openSqliteRecord(
    { path, clock: { ...clock, now: Date.now }, random: systemRandom, rules: recordRules },
    'read',
  )!;
  const { marks, findings } = await store.check();
  expect(findings).toEqual([]);
  expect(marks.filter(({ laptop }) => laptop !== own)).toMatchObject([{ seq: 80 }]);
  expect(marks.filter(({ laptop }) => laptop === own)).toMatchObject([{ seq: 1 }]);
  store.close();
  rmSync(writer);
});
