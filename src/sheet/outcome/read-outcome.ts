// Outcomes as they come back to the laptop: a pocket page's file, the text of its QR code, and the spoken code. Each
// gives the outcome or why not; nothing from outside is believed before its check agrees. Whether it was taken in
// before, and what the record makes of it, is not decided here.

import { readSheetNumber } from '../sheet-number.ts';
import { decodeBase32 } from './base32.ts';
import { sameBytes } from './keyed-check.ts';
import {
  type FiledOutcome,
  type OutcomeReading,
  type OutcomeSheet,
  type ReportedOutcome,
  refused,
  wrongUnit,
} from './outcome.ts';
import { outcomeFileCheck, outcomeFileKind } from './outcome-file.ts';
import {
  longestQrText,
  qrCrc,
  qrCrcBytes,
  qrFields,
  qrKeyedBytes,
  qrKeyedCheck,
  qrLead,
} from './outcome-qr.ts';
import { outcomeSchema } from './outcome-schema.ts';

export { readOutcomeCode } from './outcome-code.ts';

/** A file holds a walk of thousands of steps at most. */
export const longestOutcomeFile = 2_000_000;

/**
 * Which form a text has, and of which sheet it says that it is, so that the sheet can be looked up; undefined: it is
 * no file and no QR code. A spoken code names its sheet by a trace alone: it is typed in for one that is known.
 */
export function peekOutcome(
  text: string,
): { readonly form: 'file' | 'qr'; readonly sheet: string } | undefined {
  if (text.length > longestOutcomeFile) return undefined;
  const file = fileContent(text);
  if (file !== undefined) {
    const sheet = typeof file.sheet === 'string' ? readSheetNumber(file.sheet) : undefined;
    return sheet === undefined ? undefined : { form: 'file', sheet };
  }
  const qr = qrContent(text);
  return qr?.kind === 'whole' ? { form: 'qr', sheet: qr.sheet } : undefined;
}

/** `serial`: the unit that it is asked of, where it is asked of one. */
export function readOutcomeFile(
  text: string,
  sheet: OutcomeSheet,
  serial?: string,
): OutcomeReading<FiledOutcome> {
  const content = text.length > longestOutcomeFile ? undefined : fileContent(text);
  if (content === undefined) return refused('malformed');
  const parsed = outcomeSchema.safeParse(content);
  if (!parsed.success || typeof content.check !== 'string') return refused('malformed');
  const outcome = parsed.data;
  if (readSheetNumber(outcome.sheet) !== sheet.sheet) return refused('wrong-sheet', outcome.sheet);
  // Surrogates or numbers that JSON cannot hold exactly have no canonical text: nothing of ours wrote them.
  let check: string;
  try {
    check = outcomeFileCheck(content, sheet);
  } catch {
    return refused('malformed');
  }
  if (check !== content.check) return refused('forged');
  if (wrongUnit(sheet, outcome, serial)) return refused('wrong-unit', outcome.serial);
  return { kind: 'outcome', outcome };
}

function fileContent(text: string): Record<string, unknown> | undefined {
  try {
    const content: unknown = JSON.parse(text.replace(/^\ufeff/, ''));
    if (typeof content !== 'object' || content === null || Array.isArray(content)) return undefined;
    const { slotproof, format } = content as Record<string, unknown>;
    return slotproof === outcomeFileKind && format === 1 ? (content as Record<string, unknown>) : undefined;
  } catch {
    return undefined;
  }
}

/** `serial`: the unit that it is asked of, where it is asked of one. */
export function readOutcomeQr(
  text: string,
  sheet: OutcomeSheet,
  serial?: string,
): OutcomeReading<ReportedOutcome> {
  const read = qrContent(text);
  if (read === undefined) return refused('malformed');
  if (read.kind === 'mistyped') return refused('mistyped');
  if (read.sheet !== sheet.sheet) return refused('wrong-sheet', read.sheet);
  if (!sameBytes(read.keyed, qrKeyedCheck(sheet, read.json))) return refused('forged');
  const parsed = outcomeSchema.safeParse(namedFields(read.json, sheet.sheet));
  if (!parsed.success) return refused('malformed');
  if (wrongUnit(sheet, parsed.data, serial)) return refused('wrong-unit', parsed.data.serial);
  return { kind: 'outcome', outcome: parsed.data };
}

type QrContent =
  | { readonly kind: 'mistyped' }
  | { readonly kind: 'whole'; readonly sheet: string; readonly json: string; readonly keyed: Uint8Array };

const qrForm = /^([A-Z0-9]{10})\.([A-Z0-9]{8})\.([A-Z2-7]{20,})$/;

/** undefined: it is no such text. A scanner whose keyboard has Y and Z the other way round is understood. */
function qrContent(text: string): QrContent | undefined {
  if (text.length > 4 * longestQrText) return undefined;
  const plain = text.toUpperCase().replace(/\s/g, '');
  const [, lead, letters = '', content = ''] = qrForm.exec(plain) ?? [];
  if (lead !== qrLead) return undefined;
  const swapped = (part: string) => part.replace(/[YZ]/g, (letter) => (letter === 'Y' ? 'Z' : 'Y'));
  return (
    wholeContent(letters, content) ?? wholeContent(swapped(letters), swapped(content)) ?? { kind: 'mistyped' }
  );
}

function wholeContent(letters: string, content: string): QrContent | undefined {
  const sheet = readSheetNumber(letters);
  const bytes = decodeBase32(content);
  if (sheet === undefined || bytes === undefined || bytes.length < qrKeyedBytes + qrCrcBytes)
    return undefined;
  const keyedAt = bytes.length - qrCrcBytes - qrKeyedBytes;
  const crcAt = bytes.length - qrCrcBytes;
  if (new DataView(bytes.buffer).getUint32(crcAt) !== qrCrc(letters, bytes.slice(0, crcAt))) return undefined;
  const json = new TextDecoder().decode(bytes.slice(0, keyedAt));
  return { kind: 'whole', sheet, json, keyed: bytes.slice(keyedAt, crcAt) };
}

function namedFields(json: string, sheet: string): unknown {
  let values: unknown;
  try {
    values = JSON.parse(json);
  } catch {
    return undefined;
  }
  if (!Array.isArray(values)) return undefined;
  const named = qrFields.map((field, i) => [field, values[i]] as const);
  return { sheet, ...Object.fromEntries(named.filter(([, value]) => value !== '' && value !== undefined)) };
}
