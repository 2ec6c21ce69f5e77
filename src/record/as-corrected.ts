// Entries as they count: each that a correction names is taken as the correction says, or not at all. Both stay in the
// record. Which correction counts is the same on every laptop, whatever came in first: of those that name the entry by
// its id, hash, kind and unit the latest written, then the one of the later laptop, then the later in its chain.
//
// A correction may move an entry in time, never to another unit: what was logged at the wrong unit is made void, and
// logged anew. It names what was written first, not another correction; the newest one then says it all.

import type { Entry } from '../ports/record-store.ts';
import { type EntryBodies, type KnownEntry, knownEntry } from './entry.ts';

export type CorrectionEntry = Extract<KnownEntry, { kind: 'correction' }>;

/** Entries that stand in for what they are as corrected: the same id, hash and place; what it says is another. */
export function asCorrected(entries: readonly Entry[]): Entry[] {
  const corrections = correctionsIn(entries);
  const others = entries.filter(({ kind }) => kind !== 'correction');
  return corrections.size === 0 ? others : others.flatMap((entry) => corrected(entry, corrections) ?? []);
}

/** Id of the corrected entry -> all that name it. */
export type Corrections = ReadonlyMap<string, readonly CorrectionEntry[]>;

export function correctionsIn(entries: Iterable<Entry>): Corrections {
  const found = new Map<string, CorrectionEntry[]>();
  for (const entry of entries) {
    if (entry.kind !== 'correction') continue;
    const known = knownEntry(entry);
    if (known?.kind !== 'correction') continue;
    const { id } = known.body.corrects;
    found.set(id, [...(found.get(id) ?? []), known]);
  }
  return found;
}

/** The correction that counts of this entry. */
export function correctionOf(entry: Entry, corrections: Corrections): CorrectionEntry | undefined {
  let counts: CorrectionEntry | undefined;
  for (const one of corrections.get(entry.id) ?? []) {
    if (isOf(one.body, entry) && (counts === undefined || isLater(one, counts))) counts = one;
  }
  return counts;
}

/** undefined: it does not count. */
export function corrected(entry: Entry, corrections: Corrections): Entry | undefined {
  const correction = correctionOf(entry, corrections);
  if (correction === undefined) return entry;
  const { body, bodyVersion } = correction.body;
  if (body === undefined || bodyVersion === undefined) return undefined;
  const { claimedAt, claimedMs, doneBy } = correction;
  return { ...entry, claimedAt, claimedMs, doneBy, kindVersion: bodyVersion, body };
}

function isOf({ corrects, kind, serial, body }: EntryBodies['correction'], entry: Entry): boolean {
  const unit = entry.body.serial;
  if (corrects.hash !== entry.hash || kind !== entry.kind || serial !== unit) return false;
  return body === undefined || body.serial === unit;
}

function isLater(one: CorrectionEntry, other: CorrectionEntry): boolean {
  if (one.writtenMs !== other.writtenMs) return one.writtenMs > other.writtenMs;
  return one.laptop === other.laptop ? one.seq > other.seq : one.laptop > other.laptop;
}
