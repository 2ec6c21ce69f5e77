// From a text of a pocket page to its outcome and its sheet, or to why it is refused, in words. Whether the record has
// it already, and what it makes of it, is decided by whoever takes it.

import type { CodedOutcome, OutcomeRefusal, ReportedOutcome } from '../../sheet/outcome/outcome.ts';
import { readOutcomeCode, readOutcomeFile, readOutcomeQr } from '../../sheet/outcome/read-outcome.ts';
import { printable } from '../../words/printable.ts';
import { byHand, type PageOffer, type Refusal } from './offer.ts';
import type { KnownSheet, SheetShelf } from './sheet-shelf.ts';

/** Of a code alone: who and when it does not say. */
export type PageOutcome = CodedOutcome & Partial<ReportedOutcome>;

export type PageReading =
  | { readonly ok: true; readonly sheet: KnownSheet; readonly outcome: PageOutcome }
  | ({ readonly ok: false } & Omit<Refusal, 'source'>);

export interface PageWanted {
  /** `--sheet`, as printed. */
  readonly sheet: string | undefined;
  /** `--unit`, as registered. */
  readonly serial: string | undefined;
}

export function readPage(offer: PageOffer, shelf: SheetShelf, wanted: PageWanted): PageReading {
  return offer.form === 'code' ? readCode(offer, shelf, wanted) : readNamed(offer, shelf, wanted);
}

/** A file or a QR code says of which sheet it is. */
function readNamed(offer: PageOffer, shelf: SheetShelf, wanted: PageWanted): PageReading {
  if (offer.sheet === undefined)
    return refuse(offer.form === 'qr' ? 'mistyped' : 'malformed', offer, undefined);
  if (wanted.sheet !== undefined && wanted.sheet !== offer.sheet) {
    return {
      ok: false,
      code: 'wrong-sheet',
      summary: `It is of sheet ${offer.sheet}, not of ${wanted.sheet}.`,
      next: `If it is meant all the same, leave --sheet out.`,
      sheet: offer.sheet,
    };
  }
  const sheet = shelf.byNumber(offer.sheet);
  if (typeof sheet === 'string') return unknownSheet(offer.sheet, sheet);
  const read = offer.form === 'file' ? readOutcomeFile : readOutcomeQr;
  const reading = read(offer.text, sheet.keyed);
  if (reading.kind === 'outcome') return { ok: true, sheet, outcome: reading.outcome };
  return refuse(reading.reason, offer, sheet.keyed.sheet, reading.seen);
}

function unknownSheet(number: string, why: 'unknown' | 'no-page'): PageReading {
  const [summary, next] =
    why === 'unknown'
      ? [
          `It is of sheet ${number}, which was not made on this laptop.`,
          'Collect it where the sheet was made.',
        ]
      : [
          `It says that it is of sheet ${number}, of which no pocket page was made.`,
          `Ask who sent it; log what is true by hand: ${byHand}.`,
        ];
  return { ok: false, code: 'wrong-sheet', summary, next, sheet: number };
}

/** A code names no sheet: the one that was said, or whichever knows it. */
function readCode(offer: PageOffer, shelf: SheetShelf, wanted: PageWanted): PageReading {
  const said = wanted.sheet === undefined ? undefined : shelf.byNumber(wanted.sheet);
  if (typeof said === 'string') return unknownSheet(wanted.sheet ?? '', said);
  const sheets = said === undefined ? shelf.all() : [said];
  const refusals: { reason: OutcomeRefusal; sheet: string | undefined; seen: string | undefined }[] = [];
  for (const sheet of sheets) {
    const reading = readOutcomeCode(offer.text, sheet.keyed);
    if (reading.kind === 'outcome') return { ok: true, sheet, outcome: reading.outcome };
    refusals.push({ reason: reading.reason, sheet: sheet.keyed.sheet, seen: reading.seen });
  }
  // Without any sheet it can still be told whether the code is whole.
  const alone = readOutcomeCode(offer.text, noSheet);
  const order: OutcomeRefusal[] = ['malformed', 'mistyped', 'wrong-unit', 'forged', 'wrong-sheet'];
  for (const reason of order) {
    const found = refusals.find((one) => one.reason === reason);
    if (found === undefined) continue;
    const whole = reason === 'malformed' || reason === 'mistyped';
    return refuse(
      reason,
      offer,
      whole || (sheets.length > 1 && reason === 'wrong-sheet') ? undefined : found.sheet,
      found.seen,
    );
  }
  const reason = alone.kind === 'refused' ? alone.reason : 'wrong-sheet';
  return refuse(reason === 'malformed' || reason === 'mistyped' ? reason : 'wrong-sheet', offer, undefined);
}

const noSheet = { sheet: '', key: '', version: '', units: [], patterns: [] };

const asked: Readonly<Record<PageOffer['form'], string>> = {
  file: 'Have the page give the file again.',
  qr: 'Scan the QR code again.',
  code: 'Have it read out again, group by group.',
};

function refuse(
  reason: OutcomeRefusal,
  { form }: PageOffer,
  sheet: string | undefined,
  seen?: string,
): PageReading {
  const named = sheet === undefined ? {} : { sheet };
  const unit = seen === undefined ? '' : ` ${printable(seen, 80)}`;
  const of = sheet === undefined ? 'any sheet of this laptop' : `sheet ${sheet}`;
  const told: Readonly<Record<OutcomeRefusal, readonly [summary: string, next: string]>> = {
    malformed: ['This is no outcome of a pocket page, or not all of it.', asked[form]],
    mistyped: ['It is not as the page made it: a character is wrong, missing or too many.', asked[form]],
    'wrong-sheet': [`It was not made by the page of ${of}.`, 'Compare the number at the foot of the page.'],
    'wrong-unit': [
      `It is of another unit:${unit === '' ? ' its row has another serial' : unit}.`,
      'Compare the serial with the plate.',
    ],
    forged: [
      `It was not made by the page of ${of}, or was changed afterwards.`,
      `Ask who sent it; log what is true by hand: ${byHand}.`,
    ],
  };
  const [summary, next] = told[reason];
  return {
    ok: false,
    code: reason,
    summary,
    next,
    ...named,
    ...(seen === undefined || reason !== 'wrong-unit' ? {} : { serial: printable(seen, 80) }),
  };
}
