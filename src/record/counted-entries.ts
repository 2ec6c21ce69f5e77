// Entries from a store as they count: in order of claimed time, each as its correction says, without those that are
// void and without the corrections themselves. Whoever draws conclusions from entries reads them here; whoever shows or
// packs them reads the store. Bounded by the number of corrections, never by that of entries.

import type { Entry, RecordStore } from '../ports/record-store.ts';
import { asCorrected, type Corrections, corrected, correctionOf, correctionsIn } from './as-corrected.ts';
import type { EntryKind } from './entry.ts';
import { compareEntries, inClaimedOrder } from './entry-order.ts';

type Source = Pick<RecordStore<unknown>, 'entries' | 'entry'>;

interface KindQuery {
  readonly kind: Exclude<EntryKind, 'correction'>;
  readonly claimedFromMs?: number;
  readonly claimedBeforeMs?: number;
}

export async function* countedEntries(
  store: Source,
  query: { readonly serial: string } | KindQuery,
): AsyncGenerator<Entry> {
  if ('serial' in query) {
    const all: Entry[] = [];
    for await (const entry of store.entries({ serial: query.serial })) all.push(entry);
    yield* inClaimedOrder(asCorrected(all));
    return;
  }
  const corrections = await correctionsOfKind(store, query.kind);
  const moved = await correctedWithin(store, query, corrections);
  let next = 0;
  for await (const entry of store.entries(query)) {
    if (corrections.size > 0 && correctionOf(entry, corrections) !== undefined) continue;
    for (; next < moved.length && compareEntries(moved[next]!, entry) < 0; next++) yield moved[next]!;
    yield entry;
  }
  yield* moved.slice(next);
}

async function correctionsOfKind(store: Source, kind: string): Promise<Corrections> {
  const found: Entry[] = [];
  for await (const entry of store.entries({ kind: 'correction' })) {
    if (entry.body.kind === kind) found.push(entry);
  }
  return correctionsIn(found);
}

/** In order. A correction may move an entry into the time that is asked for, or out of it. */
async function correctedWithin(
  store: Source,
  { kind, claimedFromMs = -Infinity, claimedBeforeMs = Infinity }: KindQuery,
  corrections: Corrections,
): Promise<Entry[]> {
  const found: Entry[] = [];
  for (const id of corrections.keys()) {
    const entry = await store.entry(id);
    if (entry?.kind !== kind || correctionOf(entry, corrections) === undefined) continue;
    const stands = corrected(entry, corrections);
    if (stands === undefined) continue;
    if (stands.claimedMs >= claimedFromMs && stands.claimedMs < claimedBeforeMs) found.push(stands);
  }
  return inClaimedOrder(found);
}
