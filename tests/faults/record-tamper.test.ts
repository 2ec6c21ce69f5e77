// A small record, and one change at a time made to it with the stock sqlite3 program, its triggers dropped:
// every column of every entry, every row removed, repeated or swapped, and the tables beside it. `record check`
// must tell each of them; what it says of the untouched copy is the counter-proof.
import { spawnSync } from 'node:child_process';
import { copyFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { systemRandom } from '../../src/adapters/random/system-random.ts';
import { openSqliteRecord } from '../../src/adapters/record/sqlite/open-sqlite-record.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import type { Finding } from '../../src/words/finding.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';
import { newYear, utc } from '../support/entries.ts';
import { type SqlitePlace, sqlitePlace } from '../support/sqlite-place.ts';

const entryCount = 7;
let place: SqlitePlace;
let laptop: string;
let copies = 0;

beforeAll(async () => {
  place = sqlitePlace();
  const store = place.open();
  const signature = { claimedAt: formatLocalTime(newYear, utc), typedBy: 'R. Quill', doneBy: 'M. Tansy' };
  const unit = {
    serial: 'A',
    product: 'rill-40',
    hardware: 'B',
    site: 'Alder Farm',
    details: { role: 'well' },
  };
  await store.append([
    draftEntry('unit-added', signature, unit),
    draftEntry('unit-added', signature, { ...unit, serial: 'B' }),
    draftEntry('version-seen', signature, {
      serial: 'A',
      version: '4.0.0',
      evidence: 'reported',
      dated: false,
    }),
    draftEntry('card-checked', signature, { card: 'blue 3', verdict: 'sound', stops: [] }),
    draftEntry('outcome', signature, {
      serial: 'A',
      outcome: 'failed',
      evidence: 'lights',
      left: 'locked-off',
    }),
    draftEntry('exemption-begun', signature, { serial: 'B', why: 'spare', until: null }),
    draftEntry('unit-changed', signature, { serial: 'A', site: 'Birch' }),
  ]);
  laptop = store.laptop;
  store.close();
});
afterAll(() => place.remove());

const dropTriggers = ['changed', 'removed', 'replaced']
  .map((what) => `DROP TRIGGER entries_are_never_${what};`)
  .join(' ');

/** What the check finds in a copy to which the SQL was done. */
async function after(sql: string): Promise<readonly Finding[]> {
  copies += 1;
  const path = join(place.folder, `copy-${copies}.db`);
  copyFileSync(place.path, path);
  const said = spawnSync('sqlite3', ['-bail', path, `${dropTriggers} ${sql}`], { encoding: 'utf8' });
  expect(`${said.status} ${said.stderr}`, sql).toBe('0 ');
  const clock = { ...utc, now: () => newYear, startOfLocalDay: () => newYear };
  const store = openSqliteRecord({ path, clock, random: systemRandom, rules: recordRules }, 'read')!;
  try {
    return (await store.check()).findings;
  } finally {
    store.close();
  }
}

async function codesAfter(sql: string): Promise<string[]> {
  const findings = await after(sql);
  for (const finding of findings) expect(finding.next).not.toBe('');
  return findings.filter(({ severity }) => severity === 'stop').map(({ code }) => code);
}

test('the untouched copy is intact', async () => {
  expect(await codesAfter('SELECT 1;')).toEqual([]);
});

const newValues: Record<string, readonly string[]> = {
  laptop: ["'zzzzzzzz'"],
  seq: ['seq + 100', '-seq'],
  kind: ["'recalled'"],
  serial: ["'Z'", "CASE WHEN serial IS NULL THEN 'A' ELSE NULL END"],
  claimed_ms: ['claimed_ms + 1'],
  written_ms: ['written_ms - 1'],
  hash: ['substr(hash, 2) || substr(hash, 1, 1)', 'upper(hash)', "''"],
  text: [
    "replace(text, 'R. Quill', 'R. Quil1')",
    "text || ' '",
    'replace(text, \'"seq":\', \'"seq": \')',
    "replace(text, 'R. Quill', 'R. Qu\\u0069ll')",
    "''",
  ],
};

describe.each(Array.from({ length: entryCount }, (_, i) => i + 1))('entry %i', (seq) => {
  const changes = Object.entries(newValues).flatMap(([column, values]) =>
    values.map((value) => [column, value] as const),
  );
  test.each(changes)('%s set to %s', async (column, value) => {
    expect(await codesAfter(`UPDATE entries SET ${column} = ${value} WHERE seq = ${seq};`)).not.toEqual([]);
  });

  test('removed', async () => {
    const codes = await codesAfter(`DELETE FROM entries WHERE seq = ${seq};`);
    expect(codes).toContain(seq === entryCount ? 'tail-missing' : 'entry-missing');
  });

  test('removed, and the later ones moved up', async () => {
    const codes = await codesAfter(`DELETE FROM entries WHERE seq = ${seq};
      UPDATE entries SET seq = -seq WHERE seq > ${seq}; UPDATE entries SET seq = -seq - 1 WHERE seq < 0;`);
    expect(codes).not.toEqual([]);
  });

  test('repeated at the end', async () => {
    const columns = 'kind, serial, claimed_ms, written_ms, hash, text';
    const codes = await codesAfter(`INSERT INTO entries (laptop, seq, ${columns})
      SELECT laptop, ${entryCount + 1}, ${columns} FROM entries WHERE seq = ${seq};`);
    expect(codes).toContain('column-differs');
  });
});

test.each(Array.from({ length: entryCount - 1 }, (_, i) => i + 1))(
  'entry %i swapped with the next one',
  async (seq) => {
    const codes = await codesAfter(`UPDATE entries SET seq = -1 WHERE seq = ${seq};
      UPDATE entries SET seq = ${seq} WHERE seq = ${seq + 1}; UPDATE entries SET seq = ${seq + 1} WHERE seq = -1;`);
    expect(codes).toContain('previous-differs');
  },
);

test.each([
  ['UPDATE marks SET hash = substr(hash, 2) || substr(hash, 1, 1);', 'mark-differs'],
  ['UPDATE marks SET seq = 6;', 'mark-differs'],
  ['UPDATE marks SET seq = 8;', 'tail-missing'],
  ["UPDATE marks SET laptop = 'zzzzzzzz';", 'mark-missing'],
  ['DELETE FROM marks;', 'mark-missing'],
  ["UPDATE units SET serial = 'C' WHERE serial = 'A';", 'unit-differs'],
  ["UPDATE units SET product = 'x' WHERE serial = 'A';", 'unit-differs'],
  ["UPDATE units SET site = 'x' WHERE serial = 'A';", 'unit-differs'],
  ["UPDATE units SET retired = 1 WHERE serial = 'A';", 'unit-differs'],
  ["UPDATE units SET newest_ms = 1 WHERE serial = 'A';", 'unit-differs'],
  ["UPDATE units SET state = replace(state, 'failed', 'updated') WHERE serial = 'A';", 'unit-differs'],
  ["DELETE FROM units WHERE serial = 'A';", 'unit-differs'],
])('beside the entries: %s', async (sql, code) => {
  expect(await codesAfter(sql)).toContain(code);
});

test('what is stored of a unit is put right by a rebuild', async () => {
  copies += 1;
  const path = join(place.folder, `copy-${copies}.db`);
  copyFileSync(place.path, path);
  spawnSync('sqlite3', [
    path,
    "UPDATE units SET state = '{}', site = 'x' WHERE serial = 'A'; DELETE FROM units WHERE serial = 'B';",
  ]);
  const clock = { ...utc, now: () => newYear, startOfLocalDay: () => newYear };
  const store = openSqliteRecord({ path, clock, random: systemRandom, rules: recordRules }, 'write')!;
  expect((await store.rebuild()).differed).toEqual(['A', 'B']);
  expect((await store.check()).findings).toEqual([]);
  expect(await store.unit('A')).toMatchObject({ site: 'Birch', left: 'locked-off' });
  store.close();
});

test('a chain cut together with its note is told only by a mark kept elsewhere', async () => {
  const sql = `DELETE FROM entries WHERE seq > 5;
    UPDATE marks SET seq = 5, hash = (SELECT hash FROM entries WHERE seq = 5);
    UPDATE units SET site = 'Alder Farm', newest_ms = newest_ms;`;
  const codes = await codesAfter(sql);
  expect(codes.filter((code) => code !== 'unit-differs')).toEqual([]);
  expect(laptop).toHaveLength(8);
});

const allPairs = Array.from({ length: entryCount }, (_, a) =>
  Array.from({ length: entryCount - a - 1 }, (_, b) => [a + 1, a + b + 2] as const),
).flat();

test.each(allPairs)('entries %i and %i in each other’s place, whole', async (a, b) => {
  const codes = await codesAfter(`UPDATE entries SET seq = -1 WHERE seq = ${a};
    UPDATE entries SET seq = ${a} WHERE seq = ${b}; UPDATE entries SET seq = ${b} WHERE seq = -1;`);
  expect(codes).toContain('column-differs');
});

test.each(allPairs)('the text and hash of entries %i and %i exchanged', async (a, b) => {
  const codes =
    await codesAfter(`CREATE TEMP TABLE t AS SELECT seq, text, hash FROM entries WHERE seq IN (${a}, ${b});
    UPDATE entries SET text = (SELECT text FROM t WHERE t.seq <> entries.seq), hash = (SELECT hash FROM t WHERE t.seq <> entries.seq)
    WHERE seq IN (${a}, ${b});`);
  expect(codes).toContain('column-differs');
});

test.each(Array.from({ length: entryCount }, (_, i) => i))(
  'cut after entry %i with its note, and every unit added up anew: the mark held elsewhere tells it',
  async (kept) => {
    const whole = place.open('read');
    const known = await whole.marks();
    whole.close();
    copies += 1;
    const path = join(place.folder, `copy-${copies}.db`);
    copyFileSync(place.path, path);
    const note =
      kept === 0
        ? 'DELETE FROM marks;'
        : `UPDATE marks SET seq = ${kept}, hash = (SELECT hash FROM entries WHERE seq = ${kept});`;
    spawnSync('sqlite3', [path, `${dropTriggers} DELETE FROM entries WHERE seq > ${kept}; ${note}`]);
    const clock = { ...utc, now: () => newYear, startOfLocalDay: () => newYear };
    const store = openSqliteRecord({ path, clock, random: systemRandom, rules: recordRules }, 'write')!;
    await store.rebuild();
    expect((await store.check()).findings.filter(({ severity }) => severity === 'stop')).toEqual([]);
    const { findings } = await store.check(known);
    expect(findings.map(({ code }) => code)).toContain('tail-missing');
    store.close();
  },
);
