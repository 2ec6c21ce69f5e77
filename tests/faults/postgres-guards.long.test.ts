// What the server itself guards, tried with plain SQL as each role: who may add what, that nobody changes anything, that
// what is added is the next of its chain and what its text says, and that missing guards and rights too many are told.

import pg from 'pg';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { queryTexts } from '../../src/adapters/record/postgres/query-texts.ts';
import { sha256Hex } from '../../src/bytes/sha256.ts';
import type { StoredEntry } from '../../src/ports/record-rules.ts';
import { noPrev } from '../../src/ports/record-rules.ts';
import { kindVersions } from '../../src/record/entry.ts';
import { sealEntry } from '../../src/record/seal-entry.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';
import { chainOf, newYear, utc } from '../support/entries.ts';
import { officeLaptop } from '../support/office-world.ts';
import { makeTemplate, type PostgresPlace, postgresPlace, rolePassword } from '../support/postgres-place.ts';
import { adminPassword, type PostgresServer, startPostgres } from '../support/postgres-server.ts';

let server: PostgresServer;
beforeAll(async () => {
  server = await startPostgres();
  await makeTemplate(server);
});
afterAll(() => server?.remove());

let place: PostgresPlace;
beforeEach(async () => {
  place = await postgresPlace(server);
  await server.sql(place.database, "SELECT slotproof.admit('quill', 'quill222')");
});
afterEach(() => place.remove());

function chain(laptop: string, length: number): StoredEntry[] {
  const made = chainOf(laptop);
  for (let at = 0; at < length; at++)
    made.add(
      'unit-added',
      { serial: `S${at}`, product: 'rill-40', hardware: 'B', site: null, details: {} },
      newYear,
    );
  return made.stored;
}

/** Plain SQL as a role; the SQLSTATE where it is refused. */
async function as(role: string, text: string, values: unknown[] = []): Promise<string | any[]> {
  const client = new pg.Client({
    host: '127.0.0.1',
    port: server.port,
    user: role,
    database: place.database,
    password: async () => rolePassword,
  });
  await client.connect();
  try {
    return (await client.query(text, values)).rows;
  } catch (error) {
    return String((error as { code?: string }).code);
  } finally {
    await client.end();
  }
}

const insert = (role: string, entries: readonly StoredEntry[]) =>
  as(role, queryTexts.insertEntries.sql, [
    entries.map(({ laptop }) => laptop),
    entries.map(({ seq }) => seq),
    entries.map(({ kind }) => kind),
    entries.map(({ serial }) => serial),
    entries.map(({ claimedMs }) => claimedMs),
    entries.map(({ writtenMs }) => writtenMs),
    entries.map(({ hash }) => hash),
    entries.map(({ text }) => text),
  ]);

const denied = '42501';
const notNext = 'SP001';

test('a laptop adds to its own chain, and to no other', async () => {
  expect(await insert('quill', chain('quill222', 3))).toEqual([]);
  expect(await insert('quill', chain('tansy222', 1))).toBe(denied);
  expect(await insert('quill', [...chain('tansy222', 1), chain('quill222', 4)[3]!])).toBe(denied);
  expect(await insert('looker', chain('quill222', 4).slice(3))).toBe(denied);
  expect(await insert('carrier', chain('tansy222', 2))).toEqual([]);
  // Nor can it stand in the way of one.
  const hold = (laptop: string) => as('quill', queryTexts.holdChains.sql, [[laptop]]);
  expect(await hold('tansy222')).toEqual([]);
  expect(await hold('quill222')).toMatchObject([{ laptop: 'quill222' }]);
  expect(await as('looker', queryTexts.holdChains.sql, [['quill222']])).toBe(denied);
  // Whatever it calls itself meanwhile: the role that signed in counts.
  expect(await as('quill', 'SET ROLE carrier')).toBe(denied);
  expect(await as('looker', 'SELECT count(*)::int AS n FROM slotproof.entries')).toEqual([{ n: 5 }]);
});

test('nobody changes or removes anything, however it is put', async () => {
  await insert('quill', chain('quill222', 3));
  for (const text of [
    "UPDATE slotproof.entries SET kind = 'x'",
    'DELETE FROM slotproof.entries',
    'TRUNCATE slotproof.entries',
    "INSERT INTO slotproof.entries SELECT * FROM slotproof.entries ON CONFLICT (laptop, seq) DO UPDATE SET kind = 'x'",
    'UPDATE slotproof.marks SET seq = 1',
    'DELETE FROM slotproof.marks',
    "INSERT INTO slotproof.marks VALUES ('x', 1, 'x')",
    "INSERT INTO slotproof.writers VALUES ('quill', '*')",
    "SELECT slotproof.admit('quill', '*')",
    'ALTER TABLE slotproof.entries DISABLE TRIGGER ALL',
    'ALTER TABLE slotproof.entries DISABLE ROW LEVEL SECURITY',
    'DROP TABLE slotproof.entries',
    'CREATE TABLE slotproof.mine (x int)',
    "SET session_replication_role = 'replica'",
    'SET SESSION AUTHORIZATION admin',
  ]) {
    for (const role of ['quill', 'office', 'desk', 'looker']) {
      expect(await as(role, text), `${role}: ${text}`).toBe(denied);
    }
  }
  for (const role of ['quill', 'looker']) {
    expect(await as(role, 'DELETE FROM slotproof.units')).toBe(denied);
    expect(await as(role, 'DELETE FROM slotproof.stale_units')).toBe(denied);
  }
  // Not even the owner, by a slip.
  for (const text of [
    "UPDATE slotproof.entries SET kind = 'x'",
    'DELETE FROM slotproof.entries',
    'TRUNCATE slotproof.entries',
  ])
    await expect(server.sql(place.database, text)).rejects.toMatchObject({ code: 'SP002' });
  expect(await as('quill', 'SELECT count(*)::int AS n FROM slotproof.entries')).toEqual([{ n: 3 }]);
});

test('only the next of a chain, with its own hash and the columns that its text says', async () => {
  const all = chain('quill222', 6);
  expect(await insert('quill', all.slice(0, 2))).toEqual([]);
  const [third, fourth] = [all[2]!, all[3]!];
  const rehashed = (text: string): StoredEntry => ({ ...third, text, hash: sha256Hex(text) });
  const wrong: [string, StoredEntry[]][] = [
    ['a gap', [fourth]],
    ['again', [all[1]!]],
    ['out of place', [{ ...third, seq: 4 }]],
    ['an altered text', [{ ...third, text: third.text.replace('rill-40', 'rill-41') }]],
    ['another hash', [{ ...third, hash: sha256Hex('x') }]],
    ['another before it', [rehashed(third.text.replace(/"prev":"./, '"prev":"0'))].map((one) => one)],
    ['another laptop within', [rehashed(third.text.replace('"laptop":"quill222"', '"laptop":"tansy222"'))]],
    ['another place within', [rehashed(third.text.replace('"seq":3', '"seq":4'))]],
    ['a serial that the text does not say', [{ ...third, serial: 'S9' }]],
    ['no serial', [{ ...third, serial: null }]],
    ['another kind', [{ ...third, kind: 'note' }]],
    ['another time claimed', [{ ...third, claimedMs: third.claimedMs + 1 }]],
    ['another time written', [{ ...third, writtenMs: third.writtenMs - 1 }]],
    ['no JSON', [rehashed(`x${third.text}`)]],
    ['no JSON, with a character 0', [rehashed(third.text.replace('rill-40', '\\u0000').replace('{', '['))]],
    ['no JSON behind it', [rehashed(`${third.text}}`)]],
    [
      'a character 0 and another serial',
      [{ ...rehashed(third.text.replace('rill-40', '\\u0000')), serial: 'S9' }],
    ],
    ['half a character', [rehashed(third.text.replace('rill-40', '\\ud800'))]],
    ['another format', [rehashed(third.text.replace('"format":1', '"format":2'))]],
    ['no version of its kind', [rehashed(third.text.replace('"kindVersion":1', '"kindVersion":0'))]],
    [
      'a version of its kind in words',
      [rehashed(third.text.replace('"kindVersion":1', '"kindVersion":"1"'))],
    ],
    ['a body that is a list', [rehashed(third.text.replace(/"body":\{.*?\},"cl/, '"body":[],"cl'))]],
    ['no body', [rehashed(third.text.replace('"body"', '"bodY"'))]],
    [
      'a time that is none',
      [rehashed(third.text.replace(/"claimedAt":"2026-01-01/, '"claimedAt":"2026-02-31'))],
    ],
    ['a time without an offset', [rehashed(third.text.replace('.000+00:00","doneBy', '.000","doneBy'))]],
    ['who typed it is a number', [rehashed(third.text.replace(/"typedBy":"[^"]*"/, '"typedBy":7'))]],
    ['a gap within', [third, all[4]!]],
    ['a good one and a bad one', [third, { ...fourth, kind: 'note' }]],
  ];
  for (const [what, entries] of wrong) {
    // What differs from a good one only by what is meant to be wrong.
    if (entries[0]?.text !== third.text) expect(entries[0]!.text, what).not.toBe(all[2]!.text);
    const told = await insert('quill', entries);
    expect([notNext, '23505'], `${what}: ${JSON.stringify(told)}`).toContain(told);
  }
  expect(await as('quill', 'SELECT seq::int FROM slotproof.marks')).toEqual([{ seq: 2 }]);
  expect(await insert('quill', all.slice(2))).toEqual([]);
  expect((await (await place.open()).check()).findings).toEqual([]);
});

test('texts as hostile as they come are stored as they are', async () => {
  const made = chainOf('quill222');
  for (const note of [
    '\\u0000',
    '\u0000',
    '","laptop":"tansy222","prev":"x","seq":1,"typedBy":"',
    '\u2028 ä \u{1f600}',
    '\\',
    '\\\\u0000',
    '\\\u0000',
    '\u0000\\',
    '??',
    "'; DROP TABLE x; --",
  ]) {
    made.add('note', { text: note, serial: note.replaceAll('\u0000', '') } as never, newYear);
  }
  const nested = { laptop: 'tansy222', prev: '0'.repeat(64), seq: 1, typedBy: '' };
  const claimedAt = formatLocalTime(newYear, utc);
  const strange = {
    kind: 'recalled',
    kindVersion: 1,
    claimedAt,
    typedBy: 'x',
    doneBy: 'x',
    body: { serial: 'S1', deep: nested },
  };
  const place6 = {
    laptop: 'quill222',
    seq: made.stored.length + 1,
    prev: made.stored.at(-1)!.hash,
    writtenAt: claimedAt,
  };
  made.stored.push(sealEntry(strange, place6));
  expect(await insert('quill', made.stored)).toEqual([]);
  const store = await place.open();
  const found: string[] = [];
  for await (const { text } of store.sealed({ laptop: 'quill222' })) found.push(text);
  expect(found).toEqual(made.stored.map(({ text }) => text));
  expect((await store.check()).findings.filter(({ severity }) => severity === 'stop')).toEqual([]);
});

test("bodies that say nothing of the form of their kind stand in nobody's way", async () => {
  await server.sql(place.database, "SELECT slotproof.admit('tansy', 'tansy222')");
  await insert('quill', chain('quill222', 2));
  const kinds = Object.keys(kindVersions);
  const rubbish: StoredEntry[] = [];
  for (const kind of kinds) {
    for (const body of [{}, { serial: 'S0' }, { serial: 'S0', details: null, corrects: 7, outcome: [] }]) {
      const claimedAt = formatLocalTime(newYear, utc);
      const draft = { kind, kindVersion: 1, claimedAt, typedBy: 'x', doneBy: 'x', body };
      const prev = rubbish.at(-1)?.hash ?? noPrev;
      rubbish.push(
        sealEntry(draft, { laptop: 'tansy222', seq: rubbish.length + 1, prev, writtenAt: claimedAt }),
      );
    }
  }
  expect(await insert('tansy', rubbish)).toEqual([]);
  for (const role of ['office', 'looker']) {
    const store = await place.open(role);
    const serials: string[] = [];
    for await (const unit of store.units()) serials.push(unit.serial);
    expect(serials).toEqual(['S0', 'S1']);
    const { entries, findings } = await store.check();
    expect(entries).toBe(2 + rubbish.length);
    expect(findings.filter(({ severity }) => severity === 'stop')).toEqual([]);
    expect(findings.filter(({ code }) => code === 'entry-misformed').length).toBeGreaterThan(
      2 * kinds.length,
    );
  }
  const laptop = await officeLaptop(server, place, 'quill');
  try {
    for (const question of [['audit'], ['units', 'list'], ['units', 'show', 'S0'], ['record', 'check']]) {
      const { exit, stdout } = await laptop.cli(...question, '--record', place.url('office'));
      expect(exit, `${question.join(' ')} ${stdout}`).toBe(0);
    }
    const { exit, json } = await laptop.sync(place.url('quill'));
    expect([exit, json.fetched]).toEqual([3, 2]);
    expect(json.findings.map(({ code }: any) => code)).toEqual(['entry-refused']);
    expect((await laptop.cli('record', 'check')).exit).toBe(0);
  } finally {
    laptop.workspace.remove();
  }
});

test('every guard that is gone, and every right too many, is told', async () => {
  await insert('quill', chain('quill222', 2));
  const looker = await place.open('looker');
  expect(await looker.checkRights()).toEqual([]);
  const undo: [plant: string, mend: string, code: string][] = [
    ...['entries_are_never_changed', 'entries_are_never_emptied', 'entries_follow_in_chains'].map(
      (name): [string, string, string] => [
        `ALTER TABLE slotproof.entries DISABLE TRIGGER ${name}`,
        `ALTER TABLE slotproof.entries ENABLE TRIGGER ${name}`,
        'server-guard-gone',
      ],
    ),
    [
      'ALTER TABLE slotproof.entries DISABLE ROW LEVEL SECURITY',
      'ALTER TABLE slotproof.entries ENABLE ROW LEVEL SECURITY',
      'server-guard-gone',
    ],
    [
      'ALTER POLICY entries_are_added_to_own_chains ON slotproof.entries RENAME TO other',
      'ALTER POLICY other ON slotproof.entries RENAME TO entries_are_added_to_own_chains',
      'server-guard-gone',
    ],
    [
      'ALTER POLICY entries_are_added_to_own_chains ON slotproof.entries WITH CHECK (true)',
      'ALTER POLICY entries_are_added_to_own_chains ON slotproof.entries WITH CHECK (slotproof.may_add(laptop))',
      'server-guard-gone',
    ],
    [
      'CREATE POLICY all_may ON slotproof.entries FOR INSERT WITH CHECK (true)',
      'DROP POLICY all_may ON slotproof.entries',
      'server-policy-unknown',
    ],
    ...['UPDATE', 'DELETE', 'TRUNCATE', 'TRIGGER'].map((right): [string, string, string] => [
      `GRANT ${right} ON slotproof.entries TO quill`,
      `REVOKE ${right} ON slotproof.entries FROM quill`,
      'role-right-excess',
    ]),
    [
      'GRANT UPDATE (kind) ON slotproof.entries TO quill',
      'REVOKE UPDATE (kind) ON slotproof.entries FROM quill',
      'role-right-excess',
    ],
    [
      'GRANT INSERT ON slotproof.entries TO looker',
      'REVOKE INSERT ON slotproof.entries FROM looker',
      'role-right-excess',
    ],
    [
      'GRANT UPDATE ON slotproof.marks TO PUBLIC',
      'REVOKE UPDATE ON slotproof.marks FROM PUBLIC',
      'role-right-excess',
    ],
    [
      'GRANT INSERT ON slotproof.writers TO quill',
      'REVOKE INSERT ON slotproof.writers FROM quill',
      'role-right-excess',
    ],
    [
      'GRANT UPDATE ON slotproof.units TO quill',
      'REVOKE UPDATE ON slotproof.units FROM quill',
      'role-right-excess',
    ],
    [
      'GRANT ALL ON slotproof.about TO office',
      'REVOKE INSERT, UPDATE, DELETE, TRUNCATE, REFERENCES, TRIGGER ON slotproof.about FROM office',
      'role-right-excess',
    ],
  ];
  for (const [plant, mend, code] of undo) {
    await server.sql(place.database, plant);
    expect(
      (await looker.checkRights()).map((one) => one.code),
      plant,
    ).toContain(code);
    await server.sql(place.database, mend);
    expect(await looker.checkRights(), mend).toEqual([]);
  }
});

test('what somebody with all rights altered is told by the check', async () => {
  await insert('quill', chain('quill222', 4));
  const store = await place.open();
  for await (const _ of store.units()) _;
  const plants: [text: string, code: string][] = [
    [
      "UPDATE slotproof.entries SET text = replace(text, 'rill-40', 'rill-41') WHERE seq = 2",
      'entry-altered',
    ],
    ["UPDATE slotproof.entries SET serial = 'S3' WHERE seq = 2", 'column-differs'],
    ['UPDATE slotproof.entries SET claimed_ms = claimed_ms + 1 WHERE seq = 2', 'column-differs'],
    ['DELETE FROM slotproof.entries WHERE seq = 2', 'entry-missing'],
    ['DELETE FROM slotproof.entries WHERE seq = 4', 'tail-missing'],
    ["UPDATE slotproof.marks SET hash = repeat('a', 64)", 'mark-differs'],
    ['DELETE FROM slotproof.marks', 'mark-missing'],
    ["UPDATE slotproof.units SET site = 'x' WHERE serial = 'S1'", 'unit-differs'],
    ["DELETE FROM slotproof.units WHERE serial = 'S1'", 'unit-differs'],
    [
      "INSERT INTO slotproof.units SELECT 'S9', product, site, retired, newest_ms, state FROM slotproof.units WHERE serial = 'S1'",
      'unit-differs',
    ],
  ];
  const client = new pg.Client({
    host: '127.0.0.1',
    port: server.port,
    user: 'admin',
    database: place.database,
    password: async () => adminPassword,
  });
  await client.connect();
  try {
    for (const [text, code] of plants) {
      await client.query("SET session_replication_role = 'replica'");
      await client.query('BEGIN; CREATE TABLE IF NOT EXISTS kept AS SELECT * FROM slotproof.entries; COMMIT');
      await client.query(
        'DROP TABLE IF EXISTS kept_marks, kept_units; CREATE TABLE kept_marks AS TABLE slotproof.marks; CREATE TABLE kept_units AS TABLE slotproof.units',
      );
      await client.query(text);
      expect(
        (await store.check()).findings.map((one) => one.code),
        text,
      ).toContain(code);
      await client.query(
        `DELETE FROM slotproof.entries; INSERT INTO slotproof.entries TABLE kept;
         DELETE FROM slotproof.marks; INSERT INTO slotproof.marks TABLE kept_marks;
         DELETE FROM slotproof.units; INSERT INTO slotproof.units TABLE kept_units`,
      );
      expect((await store.check()).findings, `mended: ${text}`).toEqual([]);
    }
  } finally {
    await client.end();
  }
});
