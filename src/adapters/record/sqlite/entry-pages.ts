// Entries read page by page along an index, each page going on where the last one ended: never the whole table
// for one unit, and never a statement left open while others write.

import type Database from 'better-sqlite3';
import type { StoredEntry } from '../../../ports/record-rules.ts';
import type { EntryQuery } from '../../../ports/record-store.ts';

export const entryColumns =
  'laptop, seq, kind, serial, claimed_ms AS claimedMs, written_ms AS writtenMs, hash, text';

const pageLength = 500;

type Page = readonly StoredEntry[];

export function entryPages(database: Database.Database, query: EntryQuery): Iterable<Page> {
  if ('laptop' in query) return chainPages(database, query.laptop, query.fromSeq ?? 1, query.toSeq);
  if ('serial' in query) return claimedPages(database, 'serial', query.serial, {});
  return claimedPages(database, 'kind', query.kind, query);
}

function* chainPages(
  database: Database.Database,
  laptop: string,
  fromSeq: number,
  toSeq = Number.MAX_SAFE_INTEGER,
): Generator<Page> {
  const statement = database.prepare(
    `SELECT ${entryColumns} FROM entries WHERE laptop = ? AND seq BETWEEN ? AND ? ORDER BY seq LIMIT ${pageLength}`,
  );
  let from = fromSeq;
  for (;;) {
    const page = statement.all(laptop, from, toSeq) as StoredEntry[];
    const last = page.at(-1);
    if (last === undefined) return;
    yield page;
    if (page.length < pageLength) return;
    from = last.seq + 1;
  }
}

function* claimedPages(
  database: Database.Database,
  column: 'serial' | 'kind',
  value: string,
  {
    claimedFromMs = Number.MIN_SAFE_INTEGER,
    claimedBeforeMs = Number.MAX_SAFE_INTEGER,
  }: {
    readonly claimedFromMs?: number;
    readonly claimedBeforeMs?: number;
  },
): Generator<Page> {
  const statement = database.prepare(
    `SELECT ${entryColumns} FROM entries
     WHERE ${column} = @value AND claimed_ms < @before
       AND (claimed_ms, written_ms, laptop, seq) > (@claimedMs, @writtenMs, @laptop, @seq)
     ORDER BY claimed_ms, written_ms, laptop, seq LIMIT ${pageLength}`,
  );
  let after = { claimedMs: claimedFromMs, writtenMs: Number.MIN_SAFE_INTEGER, laptop: '', seq: 0 };
  for (;;) {
    const page = statement.all({ value, before: claimedBeforeMs, ...after }) as StoredEntry[];
    const last = page.at(-1);
    if (last === undefined) return;
    yield page;
    if (page.length < pageLength) return;
    after = { claimedMs: last.claimedMs, writtenMs: last.writtenMs, laptop: last.laptop, seq: last.seq };
  }
}
