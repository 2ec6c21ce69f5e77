// A long record is checked on three threads: what they find together must be what one thread finds alone. Damage is planted
// where each of the three has to see it.

import { spawnSync } from 'node:child_process';
import { copyFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { systemRandom } from '../../src/adapters/random/system-random.ts';
import { openSqliteRecord } from '../../src/adapters/record/sqlite/open-sqlite-record.ts';
import { worthThreadEntries } from '../../src/adapters/record/sqlite/second-thread.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import { newYear, utc } from '../support/entries.ts';
import { type SqlitePlace, sqlitePlace } from '../support/sqlite-place.ts';

const unitsThread = resolve(import.meta.dirname, '../../bin/units-thread.js');
const clock = {
  ...utc,
  now: () => newYear,
  startOfLocalDay: (day: string) => Date.parse(`${day}T00:00:00Z`),
};
let place: SqlitePlace;

beforeAll(async () => {
  place = sqlitePlace();
  const signature = { claimedAt: '2026-01-01T00:00:00.000+00:00', typedBy: 'R. Quill' };
  const store = place.open();
  const drafts = Array.from({ length: worthThreadEntries + 100 }, (_, i) => {
    const serial = `BN${String(i).padStart(6, '0')}`;
    return draftEntry('unit-added', signature, {
      serial,
      product: 'rill-40',
      hardware: 'A',
      site: `Farm ${i % 50}`,
      details: {},
    });
  });
  await store.append(drafts);
});
afterAll(() => place.remove());

async function findingsOf(path: string, thread: string | undefined) {
  const store = openSqliteRecord(
    { path, clock, random: systemRandom, rules: recordRules, unitsThread: thread },
    'read',
  );
  if (store === undefined) throw new Error('no record');
  try {
    return (await store.check()).findings;
  } finally {
    store.close();
  }
}

function damaged(name: string, sql: string): string {
  const path = join(place.folder, `${name}.db`);
  expect(spawnSync('sqlite3', [place.path, 'PRAGMA wal_checkpoint(TRUNCATE)']).status).toBe(0);
  copyFileSync(place.path, path);
  const guards = 'DROP TRIGGER entries_are_never_changed; DROP TRIGGER entries_are_never_removed;';
  const done = spawnSync('sqlite3', ['-bail', path, `${guards} ${sql}`], { encoding: 'utf8' });
  expect(done.stderr).toBe('');
  return path;
}

test.each([
  ['nothing', '', []],
  ['a unit', "UPDATE units SET site = 'Elder' WHERE serial = 'BN012345';", ['unit-differs']],
  [
    'a row too many',
    "UPDATE units SET serial = 'ZZ1' WHERE serial = 'BN000007';",
    ['unit-differs', 'unit-differs'],
  ],
  [
    'an entry',
    "UPDATE entries SET text = replace(text, 'Farm', 'Form') WHERE seq = 9999;",
    ['entry-altered', 'previous-differs', 'unit-differs'],
  ],
  [
    'the file',
    "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = replace(sql, 'site TEXT', 'site INTEGER') WHERE name = 'units';",
    ['database-damaged'],
  ],
])('%s, altered', async (name, sql, codes) => {
  const path = damaged(name.replaceAll(' ', '-'), sql);
  const alone = await findingsOf(path, undefined);
  const together = await findingsOf(path, unitsThread);
  expect(together).toEqual(alone);
  expect([...new Set(together.map(({ code }) => code))]).toEqual([...new Set(codes)]);
});

test('where the thread does not come up, the units are checked all the same', async () => {
  const path = damaged('no-thread', "UPDATE units SET site = 'Elder' WHERE serial = 'BN012345';");
  const found = await findingsOf(path, join(place.folder, 'not-there.js'));
  expect(found.map(({ code }) => code)).toEqual(['unit-differs']);
});

test('what is told of units is what the thread says', async () => {
  const script = join(place.folder, 'says.cjs');
  const said = { code: 'said', severity: 'note', summary: 'Said by the thread.', next: 'Nothing.' };
  writeFileSync(script, `require('node:worker_threads').parentPort.postMessage([${JSON.stringify(said)}]);`);
  expect(await findingsOf(place.path, script)).toEqual([said]);
});
