// What a record store needs to know of entries without knowing their kinds: how one is sealed into its text and
// hash, read back, added up and checked. The record folder implements it; each store is given it when opened.

import type { Finding } from '../words/finding.ts';
import type { Entry, EntryDraft, Mark } from './record-store.ts';

/** An entry as it lies in a store. Every field but `text` follows from `text`, and is checked against it. */
export interface StoredEntry {
  readonly laptop: string;
  readonly seq: number;
  readonly kind: string;
  readonly serial: string | null;
  readonly claimedMs: number;
  readonly writtenMs: number;
  readonly hash: string;
  /** The RFC 8785 text that was hashed. */
  readonly text: string;
}

/** What travels of an entry: everything else follows from the text. */
export type SealedEntry = Pick<StoredEntry, 'text' | 'hash'>;

/** An entry from elsewhere that was proved by itself, as `RecordRules.receive` proves one. */
export interface ProvedEntry {
  readonly stored: StoredEntry;
  readonly prev: string;
}

/** An entry from elsewhere, looked at by itself. `altered`: the hash is another text's. */
export type ReceivedEntry = ProvedEntry | { readonly fault: 'altered' | 'unreadable' | 'not-canonical' };

/** `prev` of the first entry of each chain. */
export const noPrev = '0'.repeat(64);

/** What the store adds to a draft: its place in the chain and the time of writing. */
export interface EntryPlace {
  readonly laptop: string;
  readonly seq: number;
  readonly prev: string;
  readonly writtenAt: string;
}

/** What a store can look units up by. */
export interface UnitKeys {
  readonly serial: string;
  readonly product: string;
  readonly site: string | null;
  readonly retired: boolean;
  /** Claimed time of its newest entry. */
  readonly newestMs: number;
}

export interface ChainMarks {
  /** The store's own note of each chain's newest entry: must be exactly the end. */
  readonly ends: readonly Mark[];
  /** Known from elsewhere: the chain may have grown since. */
  readonly known: readonly Mark[];
}

/** Rows are looked at one after the other, sorted by laptop and seq; what only the end shows is told there. */
export interface ChainCheck {
  look(row: StoredEntry): Iterable<Finding>;
  end(): Iterable<Finding>;
}

export interface RecordRules<Unit> {
  seal(draft: EntryDraft, place: EntryPlace): StoredEntry;
  /** undefined where the text is no entry at all. Does not check the hash. */
  open(stored: Pick<StoredEntry, 'text' | 'hash'>): Entry | undefined;
  /** Trusts nothing: hash, form and columns are worked out from the text. */
  receive(sealed: SealedEntry): ReceivedEntry;
  /**
   * `entries`: all of one unit, in any order. Those claimed at or after `claimedBeforeMs` do not count. undefined
   * where no entry registers the unit.
   */
  fold(entries: readonly Entry[], claimedBeforeMs?: number): Unit | undefined;
  /** One text for one state, to the byte. */
  encodeUnit(unit: Unit): string;
  decodeUnit(text: string): Unit;
  keys(unit: Unit): UnitKeys;
  /** `rows` sorted by laptop and seq. Reads every text once. */
  checkChain(rows: Iterable<StoredEntry>, marks: ChainMarks): Iterable<Finding>;
  chainCheck(marks: ChainMarks): ChainCheck;
}
