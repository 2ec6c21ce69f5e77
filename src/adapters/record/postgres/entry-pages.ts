// Entries read page by page along an index, each page going on where the last one ended: never the whole table
// for one unit, and never a statement left open while others write.

import type { StoredEntry } from '../../../ports/record-rules.ts';
import type { EntryQuery } from '../../../ports/record-store.ts';
import { pageLength } from '../queries/page-length.ts';
import type { Queries } from './connection.ts';

type Page = readonly StoredEntry[];

export function entryPages(queries: Queries, query: EntryQuery): AsyncIterable<Page> {
  if ('laptop' in query) return chainPages(queries, query.laptop, query.fromSeq ?? 1, query.toSeq);
  if ('serial' in query) return claimedPages(queries, 'serialPage', query.serial, {});
  return claimedPages(queries, 'kindPage', query.kind, query);
}

export async function* chainPages(
  queries: Queries,
  laptop: string,
  fromSeq = 1,
  toSeq = Number.MAX_SAFE_INTEGER,
): AsyncGenerator<Page> {
  let from = fromSeq;
  for (;;) {
    const page = await queries.all('chainPage', { laptop, fromSeq: from, toSeq });
    const last = page.at(-1);
    if (last === undefined) return;
    yield page;
    if (page.length < pageLength) return;
    from = last.seq + 1;
  }
}

async function* claimedPages(
  queries: Queries,
  name: 'serialPage' | 'kindPage',
  value: string,
  {
    claimedFromMs = Number.MIN_SAFE_INTEGER,
    claimedBeforeMs = Number.MAX_SAFE_INTEGER,
  }: {
    readonly claimedFromMs?: number;
    readonly claimedBeforeMs?: number;
  },
): AsyncGenerator<Page> {
  let after = { claimedMs: claimedFromMs, writtenMs: Number.MIN_SAFE_INTEGER, laptop: '', seq: 0 };
  for (;;) {
    const page = await queries.all(name, { value, before: claimedBeforeMs, ...after });
    const last = page.at(-1);
    if (last === undefined) return;
    yield page;
    if (page.length < pageLength) return;
    after = { claimedMs: last.claimedMs, writtenMs: last.writtenMs, laptop: last.laptop, seq: last.seq };
  }
}
