// The kinds of entries that this version of the tool writes and adds up, and the shape of each one's body.
// A kind that is not listed here (written by a newer version) is kept, shown and passed on, but adds nothing
// up. A new kind is: its body here, its schema in entry-schema.ts, and its case in fold-unit.ts.
// Absent is written as an absent name, never as undefined or an empty text; `null` says "known to be none".

import type { Entry, EntryDraft, JsonValue } from '../ports/record-store.ts';
import type { Evidence, Left, OutcomeKind } from './unit-state.ts';

export interface UnitAdded {
  readonly serial: string;
  readonly product: string;
  readonly hardware: string | null;
  readonly site: string | null;
  /** role, address, contact, access, notes. */
  readonly details: Readonly<Record<string, string>>;
}

/** What is named changes; in `details`, null takes a detail away. */
export interface UnitChanged {
  readonly serial: string;
  readonly product?: string;
  readonly hardware?: string | null;
  readonly site?: string | null;
  readonly details?: Readonly<Record<string, string | null>>;
}

/** It stands elsewhere now. A register that named the wrong site is corrected by `unit-changed` instead. */
export interface UnitMoved {
  readonly serial: string;
  /** null: taken away, nobody said where to. */
  readonly site: string | null;
  /** Where it stood, as this laptop knew it when this was written: for reading, the fold does not ask. */
  readonly from: string | null;
  /** What is another there, role, address, contact, access: as in UnitChanged. */
  readonly details?: Readonly<Record<string, string | null>>;
  readonly why?: string;
}

export interface UnitRetired {
  readonly serial: string;
  readonly why?: string;
}

export interface ExemptionBegun {
  readonly serial: string;
  readonly why: string;
  /** Local day, still exempt on it. */
  readonly until: string | null;
}

export interface ExemptionEnded {
  readonly serial: string;
  readonly why?: string;
}

/** A version seen or heard of outside an outcome. */
export interface VersionSeen {
  readonly serial: string;
  readonly version: string;
  readonly evidence: 'read' | 'reported';
  /** Has a date of its own (`versionReadOn`); always true for one that was read. */
  readonly dated: boolean;
}

export interface CardPrepared {
  /** The card's name, or the path of a card image file. */
  readonly card: string;
  /** `product@version`. */
  readonly release: string;
  readonly verdict: 'ready' | 'not-ready';
  readonly file: { readonly path: string; readonly bytes: number; readonly sha256: string };
  readonly readBack: {
    readonly method: 'direct' | 'reinserted' | 'image' | 'cached';
    readonly sha256: string;
  };
  readonly sizeBytes: number;
  readonly volumeId?: string;
  /** The ID by which it is confirmed, only where the card itself tells it: the same after it was laid out anew. */
  readonly cardId?: string;
  readonly fresh: boolean;
  /** How many files were kept in the workspace, and how many removed from the card. */
  readonly kept: number;
  readonly removed: number;
  /** `--despite-halt`. */
  readonly despiteHalt?: string;
}

export interface CardChecked {
  readonly card: string;
  readonly release?: string;
  readonly verdict: 'ready' | 'fixable' | 'unfit' | 'sound' | 'unsound';
  /** Codes of the stops. */
  readonly stops: readonly string[];
}

/** Worn, lost or given away: it is asked after no more. */
export interface CardRetired {
  readonly card: string;
  readonly why: string;
}

/** A download was measured against a release's manifest and is kept for cards. */
export interface ReleaseTakenIn {
  /** `product@version`. */
  readonly release: string;
  /** Its file name as it came, without a folder. */
  readonly file: string;
  readonly bytes: number;
  /** Algorithm -> lower-case hex, of the whole download. */
  readonly digests: Readonly<Record<string, string>>;
  readonly as: 'image' | 'download';
  readonly verdict: 'matches' | 'differs' | 'unknown';
}

/** The firm stops a release, whatever its maker says of it. */
export interface ReleaseWithdrawn {
  readonly release: string;
  readonly why: string;
  /** What to do with units that have it. */
  readonly doThis?: string;
}

/** Something worth knowing of a unit, a card or a release; none of them: of the day. Adds nothing up. */
export interface Note {
  readonly serial?: string;
  readonly card?: string;
  readonly release?: string;
  readonly text: string;
  readonly photos?: readonly Photo[];
}

/**
 * Takes another entry's place when things are added up; both stay. Names an entry that is no correction, by its id
 * and hash; of several that name the same the latest written counts (`as-corrected.ts`). Its own claimed time and who
 * did the work are those of what it says: the entry's, unless they were what was wrong.
 */
export interface Correction {
  /** The unit of the corrected entry, where it has one: a correction never carries an entry to another unit. */
  readonly serial?: string;
  readonly corrects: { readonly id: string; readonly hash: string };
  /** Of the corrected entry. */
  readonly kind: string;
  readonly why: string;
  /** The entry does not count at all. Either this or `body` with `bodyVersion`. */
  readonly void?: true;
  readonly body?: EntryDraft['body'];
  /** Version of the kind's body, as in `kindVersions`. */
  readonly bodyVersion?: number;
}

export interface Photo {
  /** Its copy lies in the workspace's evidence folder under this digest. */
  readonly sha256: string;
  readonly bytes: number;
  readonly name: string;
}

/** How an outcome came in that nobody typed field by field. */
export interface Collected {
  /** A pocket page's file, its QR code, its code as spoken, or the file that the unit left on its card. */
  readonly form: 'file' | 'qr' | 'code' | 'result-file';
  /** Of what is said: the same on every laptop, so that nothing counts twice (`repeated-outcomes.ts`). */
  readonly id: string;
  /** Its bytes lie in the workspace's evidence folder under this digest. */
  readonly sha256?: string;
}

export interface OutcomeLogged {
  readonly serial: string;
  readonly outcome: OutcomeKind;
  readonly evidence: Evidence;
  /** `product@version` that was meant. */
  readonly release?: string;
  readonly versionBefore?: string;
  readonly versionRead?: string;
  /** A person said that the display really shows `versionRead`, although it is not the release's. */
  readonly displayConfirmed?: true;
  /** What the person said, where it was taken as another outcome. */
  readonly said?: OutcomeKind;
  /** Id of the product's light pattern. */
  readonly lights?: string;
  readonly left?: Left;
  readonly reason?: string;
  readonly cause?: string;
  readonly card?: string;
  readonly photos?: readonly Photo[];
  readonly case?: string;
  readonly told?: string;
  readonly note?: string;
  /** Number of the sheet whose row this is. */
  readonly sheet?: string;
  readonly collected?: Collected;
}

/** A walk on site began. The id of this entry is what the others call `visit`. */
export interface VisitBegun {
  readonly serial: string;
  /** `product@version`. */
  readonly release: string;
  /** SHA-256 of the procedure as it is walked: a walk goes on along the very same one only. */
  readonly procedure: string;
  /** This unit's place among those of its site that day, where steps are done once for all of them. */
  readonly turn?: { readonly first: boolean; readonly last: boolean };
}

/** One step of a walk, of the procedure or of the frame around it. Says nothing of the unit's version or status. */
export interface StepDone {
  readonly serial: string;
  readonly visit: string;
  readonly part: 'before' | 'procedure' | 'resume' | 'after';
  /** The manifest's id of the step, or the name of the part of the frame. */
  readonly step: string;
  /** How it was left: `done`, `passes`, `late` and so on. */
  readonly result: string;
  /** Id of the light pattern seen, where the result is `lights`. */
  readonly pattern?: string;
  /** How everything stands after it; empty before the procedure begins. */
  readonly positions: Readonly<Record<string, string>>;
  /** What was read, measured, noted. */
  readonly facts: Readonly<Record<string, JsonValue>>;
}

/** A walk is over. The outcome is the `outcome` entry written with it. */
export interface VisitEnded {
  readonly serial: string;
  readonly visit: string;
  readonly release: string;
  readonly outcome: OutcomeKind;
  /** The manifest's id of the procedure's end that was reached. */
  readonly step?: string;
  /** What decided it: the frame before the procedure, one of its ends, the signs of service, or a stop. */
  readonly by: 'before' | 'procedure' | 'service' | 'stop';
  /** How everything was left; empty where the procedure was not begun. */
  readonly positions: Readonly<Record<string, string>>;
  /** Settings that the new firmware reset and that could not be restored. */
  readonly notRestored: readonly string[];
}

export interface EntryBodies {
  'unit-added': UnitAdded;
  'unit-changed': UnitChanged;
  'unit-moved': UnitMoved;
  'unit-retired': UnitRetired;
  'exemption-begun': ExemptionBegun;
  'exemption-ended': ExemptionEnded;
  'version-seen': VersionSeen;
  'card-prepared': CardPrepared;
  'card-checked': CardChecked;
  'card-retired': CardRetired;
  'release-taken-in': ReleaseTakenIn;
  'release-withdrawn': ReleaseWithdrawn;
  outcome: OutcomeLogged;
  'visit-begun': VisitBegun;
  'step-done': StepDone;
  'visit-ended': VisitEnded;
  note: Note;
  correction: Correction;
}

export type EntryKind = keyof EntryBodies;

/** The newest body version of each kind that this version of the tool understands, and the one it writes. */
export const kindVersions: Readonly<Record<EntryKind, number>> = {
  'unit-added': 1,
  'unit-changed': 1,
  'unit-moved': 1,
  'unit-retired': 1,
  'exemption-begun': 1,
  'exemption-ended': 1,
  'version-seen': 1,
  'card-prepared': 1,
  'card-checked': 1,
  'card-retired': 1,
  'release-taken-in': 1,
  'release-withdrawn': 1,
  outcome: 1,
  'visit-begun': 1,
  'step-done': 1,
  'visit-ended': 1,
  note: 1,
  correction: 1,
};

/** An entry whose kind is known, its body typed: narrow by `kind`. */
export type KnownEntry = {
  [K in EntryKind]: Omit<Entry, 'kind' | 'body'> & { readonly kind: K; readonly body: EntryBodies[K] };
}[EntryKind];

/** The same entry, typed; undefined where this version of the tool does not understand it. */
export function knownEntry(entry: Entry): KnownEntry | undefined {
  const version = Object.hasOwn(kindVersions, entry.kind) ? kindVersions[entry.kind as EntryKind] : 0;
  return entry.kindVersion <= version ? (entry as unknown as KnownEntry) : undefined;
}

export interface Signature {
  readonly claimedAt: string;
  readonly typedBy: string;
  readonly doneBy?: string | undefined;
}

/** An entry to append: `draftEntry('outcome', { claimedAt, typedBy, doneBy }, body)`. */
export function draftEntry<K extends EntryKind>(
  kind: K,
  { claimedAt, typedBy, doneBy }: Signature,
  body: EntryBodies[K],
): EntryDraft {
  return {
    kind,
    kindVersion: kindVersions[kind],
    claimedAt,
    typedBy,
    doneBy: doneBy ?? typedBy,
    body: body as unknown as EntryDraft['body'],
  };
}
