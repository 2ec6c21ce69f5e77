// An outcome as the file that a pocket page gives: JSON that a person can read, with a keyed check over all of it.
// The check is over the canonical text (RFC 8785), so that a file which was only laid out anew still holds.

import { canonicalText } from '../../record/canonical-text.ts';
import { hexOf, keyedCheck } from './keyed-check.ts';
import type { FiledOutcome, OutcomeSheet } from './outcome.ts';

export const outcomeFileKind = 'outcome';

/** Of the whole content but the check itself. The full 256 bits: here nobody has to read them out. */
export function outcomeFileCheck(content: Readonly<Record<string, unknown>>, sheet: OutcomeSheet): string {
  const { check: _check, ...rest } = content;
  return hexOf(keyedCheck(sheet.key, 'file', canonicalText(rest)));
}

export function encodeOutcomeFile(outcome: FiledOutcome, sheet: OutcomeSheet): string {
  const content = { slotproof: outcomeFileKind, format: 1, ...outcome };
  // Once as text and back: what is absent is then absent for the check as well.
  const plain = JSON.parse(JSON.stringify(content)) as Record<string, unknown>;
  return `${JSON.stringify({ ...plain, check: outcomeFileCheck(plain, sheet) }, null, 2)}\n`;
}

/** `K7MD-29XH_TB8120001234.json`; what file names cannot hold becomes a hyphen. */
export function outcomeFileName({ sheet, serial }: Pick<FiledOutcome, 'sheet' | 'serial'>): string {
  return `${sheet}_${serial.replace(/[^A-Za-z0-9._-]/g, '-').slice(0, 64)}.json`;
}
