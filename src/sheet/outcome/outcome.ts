// What a pocket page tells of one unit, and what of its sheet has to be known to believe it. It reaches the laptop
// as a file, as a QR code or as a code that is spoken; whether it fits the unit's record is judged there, not here.

import type { DoneStep } from '../../procedure/walk/walk.ts';
import type { Left, OutcomeKind } from '../../record/unit-state.ts';

/** Of a sheet: kept on the laptop beside its facts, and carried by its pocket page. */
export interface OutcomeSheet {
  /** Its number, as printed. */
  readonly sheet: string;
  /** 32 bytes by chance, in hex. Whoever has the page has the key. */
  readonly key: string;
  /** The version of the sheet's release. */
  readonly version: string;
  /** Serials in the order of the rows; empty: one row, its serial written in by hand. */
  readonly units: readonly string[];
  /** Ids of the product's light patterns, in the manifest's order. */
  readonly patterns: readonly string[];
}

/** What all three forms carry. Absent is an absent name. */
export interface CodedOutcome {
  readonly sheet: string;
  /** From 1. */
  readonly row: number;
  readonly serial: string;
  readonly outcome: OutcomeKind;
  readonly versionRead?: string;
  /** The display really shows `versionRead`, although it is not the release's. */
  readonly displayConfirmed?: true;
  /** Id of the pattern seen at the end. */
  readonly lights?: string;
  readonly left?: Left;
  /** Of a deferral. */
  readonly reason?: string;
  /** Of a failure. */
  readonly cause?: string;
}

/** What the file and the QR code carry. */
export interface ReportedOutcome extends CodedOutcome {
  /** ISO 8601 with the phone's offset. */
  readonly at: string;
  readonly by: string;
  readonly versionBefore?: string;
  /** Hardware revision, from the plate. */
  readonly revision?: string;
  readonly card?: string;
  readonly case?: string;
  readonly told?: string;
  readonly note?: string;
}

/** What the file alone carries: the walk, step by step, where there was one. */
export interface FiledOutcome extends ReportedOutcome {
  readonly steps?: readonly DoneStep[];
  /** How many answers of it were taken back because they had been tapped by mistake. */
  readonly takenBack?: number;
}

/**
 * `malformed`: no outcome at all, or not whole. `mistyped`: its own check characters do not agree. `wrong-sheet`:
 * made by the page of another sheet. `wrong-unit`: right, but for another unit than the one asked for, or than the
 * row's. `forged`: it is whole, yet was not made with this sheet's key, or was changed afterwards.
 */
export type OutcomeRefusal = 'malformed' | 'mistyped' | 'wrong-sheet' | 'wrong-unit' | 'forged';

export type OutcomeReading<T extends CodedOutcome> =
  | { readonly kind: 'outcome'; readonly outcome: T }
  /** `seen`: the other sheet's number or the other serial, where it is known. Not fit to print as it stands. */
  | { readonly kind: 'refused'; readonly reason: OutcomeRefusal; readonly seen?: string };

export function refused(
  reason: OutcomeRefusal,
  seen?: string,
): { kind: 'refused'; reason: OutcomeRefusal; seen?: string } {
  return { kind: 'refused', reason, ...(seen !== undefined && { seen }) };
}

/**
 * Is it the unit that it should be? Of the row that it names, where the sheet knows its units, and the one that is
 * asked for, where one is.
 */
export function wrongUnit(
  { units }: OutcomeSheet,
  { row, serial }: CodedOutcome,
  wanted: string | undefined,
): boolean {
  const listed = units.length === 0 ? row === 1 : units[row - 1] === serial;
  return !listed || (wanted !== undefined && wanted !== serial);
}
