// An outcome as the text of a QR code: `SLOTPROOF1.K7MD29XH.` and base 32. Whoever reads it off a screen may pass it
// on as a message or have a scanner type it; so it is capitals, digits and dots alone, told whole by a CRC-32, and
// told genuine by 80 bits of a keyed check (see keyed-check.ts for what that means, and what not).

import { crc32 } from '../../bytes/crc32.ts';
import { encodeBase32 } from './base32.ts';
import { keyedCheck } from './keyed-check.ts';
import type { OutcomeSheet, ReportedOutcome } from './outcome.ts';

export const qrLead = 'SLOTPROOF1';
export const qrKeyedBytes = 10;
export const qrCrcBytes = 4;
/** What a QR code of some 120 modules on a side holds in its capitals mode, correction M: a phone still shows it. */
export const longestQrText = 1450;

/** In the order in which the code holds them: only ever added to, at the end. */
export const qrFields = [
  'row',
  'serial',
  'outcome',
  'at',
  'by',
  'versionBefore',
  'versionRead',
  'displayConfirmed',
  'lights',
  'left',
  'reason',
  'cause',
  'card',
  'case',
  'told',
  'note',
  'revision',
] as const satisfies readonly (keyof ReportedOutcome)[];

export function qrKeyedCheck(sheet: OutcomeSheet, json: string): Uint8Array {
  return keyedCheck(sheet.key, 'qr', `${sheet.sheet}\n${json}`).slice(0, qrKeyedBytes);
}

/** Over sheet number and content, so that a slip in either is told. */
export function qrCrc(sheetLetters: string, content: Uint8Array): number {
  return crc32(content, crc32(new TextEncoder().encode(sheetLetters)));
}

/** undefined where it is too long for a phone's screen: the note, as a rule. */
export function encodeOutcomeQr(outcome: ReportedOutcome, sheet: OutcomeSheet): string | undefined {
  const values = qrFields.map((field) => outcome[field] ?? '');
  while (values[values.length - 1] === '') values.pop();
  const json = JSON.stringify(values);
  const text = new TextEncoder().encode(json);
  const content = new Uint8Array(text.length + qrKeyedBytes);
  content.set(text);
  content.set(qrKeyedCheck(sheet, json), text.length);
  const letters = sheet.sheet.replace('-', '');
  const whole = new Uint8Array(content.length + qrCrcBytes);
  whole.set(content);
  new DataView(whole.buffer).setUint32(content.length, qrCrc(letters, content));
  const qr = `${qrLead}.${letters}.${encodeBase32(whole)}`;
  return qr.length > longestQrText ? undefined : qr;
}
