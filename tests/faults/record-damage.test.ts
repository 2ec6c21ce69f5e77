// The record's file damaged page by page, cut to every kind of length, its log cut: the tool tells it, never falls over
// it, and `salvage` saves every entry that does not touch the damage. The judge is the entries as the stock sqlite3
// program read them before, and the bytes of the damaged page.
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { systemRandom } from '../../src/adapters/random/system-random.ts';
import { openSqliteRecord } from '../../src/adapters/record/sqlite/open-sqlite-record.ts';
import { sqliteRecordFile } from '../../src/adapters/record/sqlite/sqlite-record-file.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import { Failure } from '../../src/words/failure.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';
import { day, newYear, utc } from '../support/entries.ts';
import { type SqlitePlace, sqlitePlace } from '../support/sqlite-place.ts';

const entryCount = 60;
const pageBytes = 4096;
let place: SqlitePlace;
let whole: Buffer;
let texts: string[];
let laptop: string;
let end: Buffer;
let count = 0;

beforeAll(async () => {
  place = sqlitePlace();
  const store = place.open();
  laptop = store.laptop;
  const signature = { claimedAt: formatLocalTime(newYear, utc), typedBy: 'R. Quill' };
  for (let i = 0; i < entryCount; i++) {
    // Some are longer than a page, some than several.
    const notes = Array.from({ length: i % 9 === 0 ? 900 : 20 }, (_, at) => `${i}:${at * i}`).join(' ');
    const unit = {
      serial: `S${i % 25}`,
      product: 'rill-40',
      hardware: 'B',
      site: 'Alder Farm',
      details: { notes },
    };
    await store.append([draftEntry('unit-added', signature, unit)]);
  }
  store.close();
  whole = readFileSync(place.path);
  end = readFileSync(`${place.path}-end`);
  const said = spawnSync('sqlite3', ['-json', place.path, 'SELECT text FROM entries ORDER BY seq'], {
    encoding: 'utf8',
    maxBuffer: 1e8,
  });
  texts = (JSON.parse(said.stdout) as { text: string }[]).map(({ text }) => text);
  expect(texts).toHaveLength(entryCount);
});
afterAll(() => place.remove());

const clock = { ...utc, now: () => newYear + 10 * day, startOfLocalDay: () => newYear };
const at = (path: string) => ({ path, clock, random: systemRandom, rules: recordRules });

/** A copy of the record, with its own note of its end, under its own name. */
function copied(bytes: Uint8Array): string {
  count += 1;
  const path = join(place.folder, `damaged-${count}.db`);
  writeFileSync(path, bytes);
  writeFileSync(`${path}-end`, end);
  return path;
}

/** How it is told: the findings' codes, or the failure's. Anything else that is thrown is a crash. */
async function toldOf(path: string): Promise<string[]> {
  try {
    const store = openSqliteRecord(at(path), 'read');
    if (store === undefined) return ['absent'];
    try {
      return (await store.check()).findings
        .filter(({ severity }) => severity === 'stop')
        .map(({ code }) => code);
    } finally {
      store.close();
    }
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    expect(error.facts).toMatchObject({ exit: 7, where: path });
    expect(error.facts.next).not.toBe('');
    return [error.facts.code];
  }
}

/** Which places were lost; what was saved is equal to the byte, and whole as a record. */
async function lostAfter(path: string, further: readonly string[] = []): Promise<number[]> {
  const before = existsSync(path) ? readFileSync(path) : undefined;
  const target = `${path}.saved`;
  let salvaged: Awaited<ReturnType<ReturnType<typeof sqliteRecordFile>['salvage']>>;
  try {
    salvaged = await sqliteRecordFile(at(path)).salvage(target, further);
  } catch (error) {
    expect(error).toMatchObject({ facts: { code: 'nothing-saved', exit: 7 } });
    expect(existsSync(target)).toBe(false);
    return texts.map((_, index) => index + 1);
  }
  if (before !== undefined) expect(readFileSync(path).equals(before), 'only read').toBe(true);
  expect((statSync(target).mode & 0o777).toString(8)).toBe('600');
  expect(salvaged.check.findings).toEqual([]);
  const chain = salvaged.chains.find((one) => one.laptop === laptop)!;
  const sql = `SELECT text FROM entries WHERE laptop = '${laptop}' ORDER BY seq`;
  const said = spawnSync('sqlite3', ['-json', target, sql], { encoding: 'utf8', maxBuffer: 1e8 }).stdout;
  const saved = (said.trim() === '' ? [] : (JSON.parse(said) as { text: string }[])).map(({ text }) => text);
  expect(saved).toEqual(texts.slice(0, chain.saved));
  const loose =
    salvaged.loosePath === undefined
      ? []
      : readFileSync(salvaged.loosePath, 'utf8')
          .trim()
          .split('\n')
          .map((line) => JSON.parse(JSON.parse(line).text).seq as number);
  expect(loose).toHaveLength(chain.loose);
  const lost = chain.missing.flatMap(({ fromSeq, toSeq }) =>
    Array.from({ length: toSeq - fromSeq + 1 }, (_, i) => fromSeq + i),
  );
  expect([...saved.map((_, i) => i + 1), ...loose, ...lost].sort((a, b) => a - b)).toEqual(
    texts.map((_, i) => i + 1),
  );
  return lost;
}

/** Whether any part of an entry's text stood in these bytes. */
function touches(bytes: Buffer, text: string): boolean {
  for (let i = 0; i + 16 <= text.length; i += 8) if (bytes.includes(text.slice(i, i + 16))) return true;
  return false;
}

test('the judge: an untouched copy loses nothing', async () => {
  const path = copied(whole);
  expect(await toldOf(path)).toEqual([]);
  expect(await lostAfter(path)).toEqual([]);
});

test.each(['zeros', 'rubbish', 'one bit', 'its head'])('each page in turn: %s', async (kind) => {
  const pages = whole.length / pageBytes;
  expect(pages).toBeGreaterThan(30);
  let losing = 0;
  let untold = 0;
  for (let page = 0; page < pages; page++) {
    const bytes = Buffer.from(whole);
    const part = bytes.subarray(page * pageBytes, (page + 1) * pageBytes);
    const before = Buffer.from(part);
    if (kind === 'zeros') part.fill(0);
    else if (kind === 'rubbish') part.fill(0xa5);
    else if (kind === 'its head') part.fill(0xff, 0, 16);
    else part[2000 + page]! ^= 4;
    const path = copied(bytes);
    const told = await toldOf(path);
    const lost = await lostAfter(path);
    if (lost.length > 0) {
      losing += 1;
      expect(told, `page ${page}`).not.toEqual([]);
    }
    // A bit in what no row uses changes nothing that was recorded.
    if (told.length === 0) untold += 1;
    for (const seq of lost) expect(touches(before, texts[seq - 1]!), `page ${page}, entry ${seq}`).toBe(true);
    for (const more of ['', '-end', '.saved', '.saved.loose', '-shm', '-wal'])
      rmSync(`${path}${more}`, { force: true });
  }
  expect(losing).toBeGreaterThan(kind === 'one bit' ? 2 : 10);
  if (kind === 'zeros' || kind === 'rubbish') expect(untold).toBe(0);
});

test('cut to any length', async () => {
  for (const length of [
    0,
    1,
    15,
    16,
    99,
    100,
    511,
    4095,
    4096,
    4097,
    ...range(8192, whole.length - 1, 7001),
  ]) {
    const path = copied(whole.subarray(0, length));
    expect(await toldOf(path), String(length)).not.toEqual([]);
    const lost = await lostAfter(path);
    for (const seq of lost)
      expect(touches(whole.subarray(length & ~4095), texts[seq - 1]!), `${length}: ${seq}`).toBe(true);
  }
});

function range(from: number, to: number, step: number): number[] {
  return Array.from({ length: Math.floor((to - from) / step) + 1 }, (_, i) => from + i * step);
}

test('a gap is filled from a back-up, and from what an earlier salvage kept as loose', async () => {
  const bytes = Buffer.from(whole);
  // Three quarters of all pages.
  for (let page = 0; page < whole.length / pageBytes; page++) {
    if (page % 4 !== 0) bytes.fill(0, page * pageBytes, (page + 1) * pageBytes);
  }
  const path = copied(bytes);
  const backup = join(place.folder, 'backup.db');
  await sqliteRecordFile(at(copied(whole))).backUp(backup);
  expect((await lostAfter(path)).length).toBeGreaterThan(10);
  rmSync(`${path}.saved`);
  rmSync(`${path}.saved.loose`, { force: true });
  expect(await lostAfter(path, [backup])).toEqual([]);
  const head = copied(whole.subarray(0, whole.length >> 1));
  const lost = await lostAfter(head);
  expect(lost.length).toBeGreaterThan(5);
});

test.each([
  [
    'another program’s file',
    (path: string) => writeFileSync(path, 'serial,site\n'.repeat(2000)),
    'not-a-record',
  ],
  ['nothing but zeros', (path: string) => writeFileSync(path, Buffer.alloc(40960)), undefined],
  ['an empty file', (path: string) => truncateSync(path, 0), 'record-damaged'],
])('in its place: %s', async (_name, make, code) => {
  const path = copied(whole);
  make(path);
  const told = await toldOf(path);
  expect(told).toHaveLength(1);
  if (code !== undefined) expect(told).toEqual([code]);
  expect(await lostAfter(path)).toHaveLength(entryCount);
});

test('the log cut: what it held is told by the note beside the record, and the rest is saved', async () => {
  const store = place.open();
  const signature = { claimedAt: formatLocalTime(newYear, utc), typedBy: 'R. Quill' };
  for (let i = 0; i < 5; i++) await store.append([draftEntry('note', signature, { text: `late ${i}` })]);
  const log = readFileSync(`${place.path}-wal`);
  end = readFileSync(`${place.path}-end`);
  const bytes = readFileSync(place.path);
  for (const length of [0, 31, 32, 4000, 9000, Math.floor(log.length / 2), log.length - 5000]) {
    const path = copied(bytes);
    writeFileSync(`${path}-wal`, log.subarray(0, length));
    const { chains } = await sqliteRecordFile(at(path)).salvage(`${path}.saved`, []);
    const chain = chains.find((one) => one.laptop === laptop)!;
    expect(chain.saved).toBeGreaterThanOrEqual(entryCount);
    expect(chain.missing.at(-1)).toMatchObject({ toSeq: entryCount + 5 });
    expect(await toldOf(path)).toContain('tail-missing');
  }
  const path = copied(bytes);
  writeFileSync(`${path}-wal`, log);
  const { chains } = await sqliteRecordFile(at(path)).salvage(`${path}.saved`, []);
  expect(chains.find((one) => one.laptop === laptop)).toMatchObject({
    saved: entryCount + 5,
    missing: [],
    loose: 0,
  });
  store.close();
});
