// The record's file as a whole: copied while others write, put back, and saved from when it is damaged. What is
// written here is whole or not there, readable by its user alone, and never takes another file's place. Where a pause throws,
// nothing was written and nothing moved.

import type { Mark, Pause, RecordCheck } from './record-store.ts';

export interface BackedUp {
  readonly bytes: number;
  /** Of the copy, not of the record. With a stop in it the copy was not kept. */
  readonly check: RecordCheck;
}

export interface Restored {
  readonly laptop: string;
  readonly check: RecordCheck;
  /** Where the record that was there before lies now. */
  readonly setAside: string | undefined;
  /** The ends of that record, where they could be read: what the back-up may lack. */
  readonly before: readonly Mark[] | undefined;
}

export interface SavedChain {
  readonly laptop: string;
  /** Entries 1 to this one are in the new record. */
  readonly saved: number;
  /** First and last place of each stretch of which nothing was found. */
  readonly missing: readonly { readonly fromSeq: number; readonly toSeq: number }[];
  /** Entries that were found, proved by their hash, but follow nothing that was. */
  readonly loose: number;
}

export interface Salvaged {
  readonly chains: readonly SavedChain[];
  /** Where the loose entries lie, a JSON line each; undefined where there are none. */
  readonly loosePath: string | undefined;
  /** Further files in which not one entry was found. */
  readonly useless: readonly string[];
  readonly check: RecordCheck;
}

export interface RecordFile {
  /** Failure `file-exists` (exit 2), `disk-full` (exit 6); exit 7 where the record cannot be read. */
  backUp(target: string, pause?: Pause): Promise<BackedUp>;
  /** Failure `not-a-backup` (exit 2). A check alone: the back-up is damaged, and nothing was restored. Failure `record-there` where one is and may not be moved. */
  restore(
    source: string,
    options: { readonly setAside: boolean },
    pause?: Pause,
  ): Promise<Restored | RecordCheck>;
  /** Reads the record (if any) and the further files, changes nothing of them. */
  salvage(target: string, further: readonly string[], pause?: Pause): Promise<Salvaged>;
}
