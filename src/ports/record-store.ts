// The record as the commands see it: append-only entries, and what the entries of each unit add up to, both
// changed in one transaction. Knows neither SQL nor the kinds of entries: those, and the shape of a unit's
// state (the type parameter), are the record folder's. Everything is asynchronous, so that a server can stand
// behind it as well as a file. Failures: exit 7 where the record cannot be used.

import type { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import type { ProvedEntry, SealedEntry, StoredEntry } from './record-rules.ts';

export type JsonValue =
  | null
  | boolean
  | number
  | string
  | readonly JsonValue[]
  | { readonly [name: string]: JsonValue | undefined };

/** What a command hands in. The rest of an entry is the store's: id, place in the chain, time of writing. */
export interface EntryDraft {
  readonly kind: string;
  /** Version of the kind's body: rises when the body's meaning changes. */
  readonly kindVersion: number;
  /** When it happened, as the person says: ISO 8601 with the local offset (`2026-11-24T14:30:00.000+01:00`). */
  readonly claimedAt: string;
  /** Who typed it (`--as`). */
  readonly typedBy: string;
  /** Who did the work (`--by`; the same person where that was not given). */
  readonly doneBy: string;
  /** `serial` in it, where there is one, says whose entry it is. */
  readonly body: { readonly [name: string]: JsonValue | undefined };
}

/** One immutable line of the record, of a kind that this version of the tool may or may not know. */
export interface Entry extends EntryDraft {
  readonly id: string;
  readonly laptop: string;
  readonly seq: number;
  /** Hash of the laptop's entry before; 64 zeros for the first. */
  readonly prev: string;
  readonly hash: string;
  readonly writtenAt: string;
  /** The two times as milliseconds UTC. */
  readonly claimedMs: number;
  readonly writtenMs: number;
}

export interface EntryAddress {
  readonly id: string;
  readonly laptop: string;
  readonly seq: number;
  readonly hash: string;
}

/** The newest entry of a laptop's chain: printed on sheets and packets, so that a cut tail can be told. */
export interface Mark {
  readonly laptop: string;
  readonly seq: number;
  readonly hash: string;
}

export interface UnitFilter {
  readonly product?: string;
  readonly site?: string;
  /** Retired units: left out unless this says otherwise. */
  readonly retired?: 'without' | 'with' | 'only';
  /**
   * Only entries whose claimed time lies before this instant count (milliseconds UTC). A unit that was registered
   * later is there all the same, as first registered: it stood there before anybody typed it in.
   */
  readonly claimedBeforeMs?: number;
}

/** Of a unit and of a kind: in order of claimed time. Of a laptop: in order of its chain. */
export type EntryQuery =
  | { readonly serial: string }
  | { readonly laptop: string; readonly fromSeq?: number; readonly toSeq?: number }
  | { readonly kind: string; readonly claimedFromMs?: number; readonly claimedBeforeMs?: number };

export interface RecordCounts {
  readonly entries: number;
  readonly units: number;
  readonly laptops: number;
}

export interface RecordCheck {
  readonly entries: number;
  readonly units: number;
  readonly marks: readonly Mark[];
  readonly findings: readonly Finding[];
}

/** One place in a chain that two different entries claim. */
export interface Split {
  readonly laptop: string;
  readonly seq: number;
  /** The hash that is stored here, and the one that came. */
  readonly ours: string;
  readonly theirs: string;
}

/**
 * The first entry of a chain that was not taken, and why. `gap`: the one before it is not here. `own-ahead`: newer
 * than this computer's own chain, which only this computer extends (a back-up was restored). The others:
 * ReceivedEntry.
 */
export interface Refusal {
  readonly reason: 'gap' | 'own-ahead' | 'altered' | 'unreadable' | 'not-canonical';
  /** `laptop-seq`; absent where the text does not say or is not to be believed. */
  readonly id?: string;
  /** Which of the entries handed in, counted from 1. */
  readonly position: number;
}

export interface TakenIn {
  readonly added: number;
  /** Here already, to the byte. */
  readonly known: number;
  /** Not taken: those refused, those of a split, and what follows them in their chains. */
  readonly held: number;
  /** At most one a chain. */
  readonly splits: readonly Split[];
  /** At most one a chain, and at most the first hundred of entries that cannot be read. */
  readonly refused: readonly Refusal[];
}

/** How far a look at all entries is. */
export type Looked = (entries: number, ofThem: number) => void;

/** Asked between pieces of long work in a file: where it throws, the work ends and nothing of it is stored. A server asks nothing. */
export type Pause = () => Promise<void>;

export interface RecordStore<Unit> {
  /** Whose chain this computer appends to. */
  readonly laptop: string;
  /** Opened to be read where nothing can be written: what a writer is told. */
  readonly readOnly?: Failure | undefined;
  /** All of them or none, on the disk when it returns, the units they touch added up anew. */
  append(drafts: readonly EntryDraft[]): Promise<EntryAddress[]>;
  /**
   * The same of many, each asked for when the one before is written; how many there were. Where `drafts` throws, nothing
   * was written. Others wait meanwhile.
   */
  appendEach(drafts: AsyncIterable<EntryDraft>): Promise<number>;
  unit(serial: string): Promise<Unit | undefined>;
  /** Sorted by serial. Others may write in the meantime. */
  units(filter?: UnitFilter): AsyncIterable<Unit>;
  /** Of each text the first serial that does not come before it, by code points, retired ones included: for suggestions. */
  serialsFrom(texts: readonly string[]): Promise<(string | null)[]>;
  /** Names of all sites where a unit is registered, retired ones included; sorted, each once. */
  sites(): Promise<string[]>;
  entry(id: string): Promise<Entry | undefined>;
  entries(query: EntryQuery): AsyncIterable<Entry>;
  /** A chain, verbatim, page by page: to be packed or pushed. */
  sealed(chain: {
    readonly laptop: string;
    readonly fromSeq?: number;
    readonly toSeq?: number;
  }): AsyncIterable<StoredEntry>;
  /**
   * Adds other laptops' entries, verbatim, the units they touch added up anew with them. Each chain in ascending
   * order; chains may be mixed. A chain stays whole: an entry is only stored after the one before it. Refusals and splits
   * are told, not thrown. A file takes what is at hand (no promises) in one transaction: where `entries` throws, nothing
   * of it is stored, and that error is thrown on. What has to be waited for, and whatever goes to a server, is stored in
   * batches, each whole: after a break the same can be handed in again. A `ProvedEntry` is believed by a file, so it
   * must come from `RecordRules.receive` or the like of it.
   */
  takeIn(
    entries: Iterable<SealedEntry | ProvedEntry> | AsyncIterable<SealedEntry>,
    pause?: Pause,
  ): Promise<TakenIn>;
  /** Sorted by laptop. */
  marks(): Promise<Mark[]>;
  counts(): Promise<RecordCounts>;
  /** Reads everything, changes nothing. `marks`: known from elsewhere (sheets, packets). */
  check(marks?: readonly Mark[], looked?: Looked, pause?: Pause): Promise<RecordCheck>;
  /** Adds every unit up anew from the entries alone; the serials whose stored state was another. */
  rebuild(pause?: Pause): Promise<{ readonly units: number; readonly differed: readonly string[] }>;
  close(): void;
}
