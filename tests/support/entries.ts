// Entries made by hand, as a store would hold them: sealed one after another into one chain, with times that
// the test chooses.

import type { StoredEntry } from '../../src/ports/record-rules.ts';
import { noPrev } from '../../src/ports/record-rules.ts';
import type { Entry } from '../../src/ports/record-store.ts';
import { draftEntry, type EntryBodies, type EntryKind } from '../../src/record/entry.ts';
import { openEntry, sealEntry } from '../../src/record/seal-entry.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';

export const utc = { offsetMinutes: () => 0 };
export const day = 86_400_000;
/** 2026-01-01T00:00Z. */
export const newYear = Date.UTC(2026, 0, 1);

export interface ChainOf {
  /** Claimed at `atMs`, written at `writtenMs` (else a second after that, and after the entry before). */
  add<K extends EntryKind>(kind: K, body: EntryBodies[K], atMs: number, writtenMs?: number): Entry;
  readonly stored: StoredEntry[];
  readonly entries: Entry[];
}

export function chainOf(laptop: string): ChainOf {
  const stored: StoredEntry[] = [];
  const entries: Entry[] = [];
  return {
    stored,
    entries,
    add(kind, body, atMs, writtenMs) {
      const draft = draftEntry(
        kind,
        { claimedAt: formatLocalTime(atMs, utc), typedBy: 'R. Quill', doneBy: 'M. Tansy' },
        body,
      );
      const row = sealEntry(draft, {
        laptop,
        seq: stored.length + 1,
        prev: stored.at(-1)?.hash ?? noPrev,
        writtenAt: formatLocalTime(writtenMs ?? Math.max(atMs, stored.at(-1)?.writtenMs ?? 0) + 1000, utc),
      });
      const entry = openEntry(row);
      if (entry === undefined) throw new Error('sealed, and cannot be opened');
      stored.push(row);
      entries.push(entry);
      return entry;
    },
  };
}
