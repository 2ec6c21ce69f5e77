// One outcome of a pocket page into the record: by the same rules as `log`, what the page said of who and when kept,
// and nothing taken twice. Refusals are values: one bad outcome stops no other.

import type { OutcomeClaim } from '../../fleet/plan-outcome.ts';
import { statementId, statementIdOf } from '../../record/repeated-outcomes.ts';
import type { UnitRecord } from '../../record/unit-record.ts';
import { formatLocalDay, parseLocalTime } from '../../words/local-time.ts';
import { plainText } from '../../words/plain-text.ts';
import { printable } from '../../words/printable.ts';
import { withoutAbsent } from '../../words/without-absent.ts';
import { keepEvidence } from '../keep-evidence.ts';
import { settleUnasked } from '../settle-outcome.ts';
import { type OutcomeEntry, outcomesOfSheet } from '../sheet-rows.ts';
import { byHand, type PageOffer, type Refusal } from './offer.ts';
import { type PageOutcome, readPage } from './read-page.ts';
import type { KnownSheet } from './sheet-shelf.ts';
import { type Desk, findUnit, judged, refusal, type Taken, writeOutcome } from './take.ts';

/** A phone's clock may be this much ahead of the laptop's. */
const mostAheadMs = 10 * 60_000;

export async function takePage(desk: Desk, offer: PageOffer): Promise<Taken | Refusal> {
  const { source } = offer;
  const read = readPage(offer, desk.shelf, desk.wanted);
  if (!read.ok) {
    const { ok: _, ...why } = read;
    return { source, ...why };
  }
  const { sheet, outcome } = read;
  const facts = { source, serial: printable(outcome.serial, 80), sheet: sheet.facts.sheet };
  const unit = await findUnit(desk, outcome.serial, facts);
  if ('source' in unit) return unit;
  if (unit.product !== sheet.facts.product) {
    const summary = `The sheet is for ${printable(sheet.facts.product)}, and this unit is registered as ${printable(unit.product)}.`;
    return refusal(
      facts,
      'other-product',
      summary,
      `Compare the serial with the plate, then: slotproof units show ${facts.serial}`,
    );
  }
  const claim = claimOf(outcome, unit, sheet);
  if (typeof claim === 'string')
    return refusal(facts, 'text-unfit', claim, `Log it by hand without that: ${byHand}.`);
  const before = await takenBefore(desk, unit, sheet, offer, outcome);
  if (before.kind === 'refused') return { ...facts, ...before.why };
  const signs = await signsOf(desk, offer, outcome, sheet);
  if ('code' in signs) return { ...facts, ...signs };

  const settled = judged(facts, () =>
    settleUnasked(claim.claim, unit, desk.routes, outcome.displayConfirmed === true),
  );
  if ('source' in settled) return settled;
  const kept = offer.form === 'code' ? {} : { sha256: keep(desk, offer) };
  const body = {
    ...settled.body,
    sheet: sheet.facts.sheet,
    collected: { form: offer.form, id: idOf(unit, sheet, offer, outcome), ...kept },
  };
  return writeOutcome(desk, {
    source,
    unit,
    bodies: [body],
    notices: [...claim.notices, ...before.notices, ...settled.notices],
    ...signs,
  });
}

function keep({ context }: Desk, { form, text }: PageOffer): string {
  context.workspace.make();
  return keepEvidence(context, new TextEncoder().encode(text), form === 'file' ? 'json' : 'txt');
}

/** As said on the page; a text when something in it is not fit to be kept. */
function claimOf(
  outcome: PageOutcome,
  unit: UnitRecord,
  { facts }: KnownSheet,
): { readonly claim: OutcomeClaim; readonly notices: readonly string[] } | string {
  const { revision, versionBefore, versionRead, lights, left, reason, cause } = outcome;
  const plain: Record<string, string> = {};
  const longest = { card: 200, case: 80, told: 80, note: 2000 } as const;
  for (const [name, most] of Object.entries(longest)) {
    const text = outcome[name as keyof typeof longest];
    const fit = text === undefined ? undefined : plainText(text, most);
    if (text !== undefined && fit === undefined) return `What it says as ${name} is not fit to be kept.`;
    if (fit !== undefined && fit !== '') plain[name] = fit;
  }
  const differs = revision !== undefined && unit.hardware !== null && revision !== unit.hardware;
  const plate = `Revision ${printable(revision ?? '', 40)} on the plate, ${printable(unit.hardware ?? '', 40)} in the register.`;
  const note = differs ? [plain.note, plate].filter(Boolean).join(' ').slice(0, 2000) : plain.note;
  return {
    claim: {
      outcome: outcome.outcome,
      release: facts.release,
      ...withoutAbsent({ versionBefore, versionRead, lights, left, reason, cause }),
      ...plain,
      ...withoutAbsent({ note }),
    },
    notices: differs ? [`${plate} Compare the serial once more.`] : [],
  };
}

/** Of what is said, with when it was said where the form tells: a file and its QR code have the same. */
function idOf(unit: UnitRecord, { facts }: KnownSheet, offer: PageOffer, outcome: PageOutcome): string {
  const said = { ...outcome, serial: unit.serial, sheet: facts.sheet };
  return statementId(said, offer.form === 'code' ? undefined : outcome.at);
}

type Before =
  | { readonly kind: 'refused'; readonly why: Pick<Refusal, 'code' | 'summary' | 'next' | 'entry'> }
  | { readonly kind: 'fresh'; readonly notices: readonly string[] };

async function takenBefore(
  desk: Desk,
  unit: UnitRecord,
  sheet: KnownSheet,
  offer: PageOffer,
  outcome: PageOutcome,
): Promise<Before> {
  const store = await desk.context.record('read');
  // As written: what was corrected or made void was taken all the same, and does not come back by itself.
  const earlier = await outcomesOfSheet(store, unit.serial, sheet.facts.sheet, 'written');
  const id = idOf(unit, sheet, offer, outcome);
  const says = statementId({ ...outcome, serial: unit.serial, sheet: sheet.facts.sheet });
  const itself = earlier.find(({ body }) => body.collected?.id === id);
  const same = earlier.find(({ body }) => statementIdOf(body) === says);
  const repeated = itself ?? (offer.form === 'code' ? same : undefined);
  if (repeated !== undefined) return { kind: 'refused', why: again(desk, repeated, earlier) };
  const untimed = earlier.find((entry) => statementIdOf(entry.body) === says && !tellsWhen(entry));
  const notices =
    untimed === undefined
      ? []
      : [`The same was taken as ${untimed.id} before; this tells more, and both count as one.`];
  return { kind: 'fresh', notices };
}

const tellsWhen = ({ body: { collected } }: OutcomeEntry) =>
  collected?.form === 'file' || collected?.form === 'qr';

function again(
  { context: { clock } }: Desk,
  entry: OutcomeEntry,
  earlier: readonly OutcomeEntry[],
): Pick<Refusal, 'code' | 'summary' | 'next' | 'entry'> {
  const day = formatLocalDay(entry.claimedMs, clock);
  const followed = earlier.at(-1) === entry ? '' : ' Something else was logged from the sheet since.';
  return {
    code: 'taken-already',
    summary: `This was taken already, as ${entry.id} of ${day}.${followed}`,
    next: `Nothing, unless it happened anew; then log it: ${byHand}.`,
    entry: entry.id,
  };
}

const sayWhen = 'Say when it was with --at TIME.';

type Signs = { readonly atMs: number; readonly by: string | undefined };

/** Who and when, as the page says; of a code, as the person says who types it in. */
async function signsOf(
  desk: Desk,
  offer: PageOffer,
  outcome: PageOutcome,
  { facts }: KnownSheet,
): Promise<Signs | Pick<Refusal, 'code' | 'summary' | 'next'>> {
  if (offer.form === 'code') return await desk.askSigns(offer, outcome);
  const by = plainText(outcome.by ?? '', 80);
  if (by === undefined)
    return {
      code: 'text-unfit',
      summary: 'The name that it gives is not fit to be kept.',
      next: `Log it by hand: ${byHand} --by NAME.`,
    };
  const signed = by === '' ? undefined : by;
  if (desk.atMs !== undefined) return { atMs: desk.atMs, by: signed };
  const { clock } = desk.context;
  const atMs = parseLocalTime(outcome.at ?? '', clock);
  const shown = printable(outcome.at ?? '', 40);
  if (atMs === undefined)
    return { code: 'time-form', summary: `It says no time that can be read: ${shown}.`, next: sayWhen };
  const nowMs = clock.now();
  if (atMs > nowMs + mostAheadMs) {
    return {
      code: 'time-future',
      summary: `It says that it was on ${shown}, which is still to come: the phone's clock is wrong.`,
      next: sayWhen,
    };
  }
  const madeMs = Date.parse(facts.madeAt);
  if (atMs < madeMs - mostAheadMs) {
    return {
      code: 'time-before-sheet',
      summary: `It says that it was on ${shown}, before its sheet was made: the phone's clock is wrong.`,
      next: sayWhen,
    };
  }
  return { atMs: Math.min(atMs, nowMs), by: signed };
}
