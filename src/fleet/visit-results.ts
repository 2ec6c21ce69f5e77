// What became of a list of visits, the worst first: left off, failed, not done, no word; then what was done, and
// what is still to come; and the cards that went out for them and have not been seen since. Only an entry counts
// as word, and only a reading or the like as done: see status.ts.

import { baseName } from '../manifest/download-name.ts';
import type { KnownEntry } from '../record/entry.ts';
import type { Outcome, UnitState } from '../record/unit-state.ts';
import type { AuditRow } from './audit.ts';
import { laterDay } from './pace.ts';
import type { Visit } from './visit-list.ts';
import { leftInWords } from './why.ts';

export const visitResults = ['leftOff', 'failed', 'notDone', 'noWord', 'toCome', 'done'] as const;
export type VisitResult = (typeof visitResults)[number];

export interface VisitedUnit {
  readonly row: AuditRow;
  readonly date: string | null;
  /** The newest outcome since the visit began to count. */
  readonly outcome: Outcome | null;
  readonly why: string;
}

export interface CardOut {
  readonly card: string;
  readonly release: string;
  readonly preparedMs: number;
  readonly by: string;
  /** The unit at which it was last used, where an outcome names it. */
  readonly usedAt: string | null;
}

export interface VisitResults extends Readonly<Record<VisitResult, readonly VisitedUnit[]>> {
  readonly cardsNotBack: readonly CardOut[];
}

export interface VisitQuestion {
  readonly visits: readonly Visit[];
  /** Of every unit in service, by serial. */
  readonly rows: ReadonlyMap<string, AuditRow>;
  readonly day: string;
  /** The first instant of a local day. */
  readonly startOfDay: (day: string) => number;
  /** All of them up to the day, each kind in the order in which it happened. */
  readonly outcomes: readonly Extract<KnownEntry, { kind: 'outcome' }>[];
  readonly prepared: readonly Extract<KnownEntry, { kind: 'card-prepared' }>[];
  readonly checked: readonly Extract<KnownEntry, { kind: 'card-checked' }>[];
}

/** A line without a date is about the week that ends with the day. */
const undatedDays = 7;
/** A card is prepared the evening before, or the week before. */
const preparedDaysBefore = 7;

export function visitResultsOf(question: VisitQuestion): VisitResults {
  const results: Record<VisitResult, VisitedUnit[]> = {
    leftOff: [],
    failed: [],
    notDone: [],
    noWord: [],
    toCome: [],
    done: [],
  };
  for (const { unit, visit } of oneVisitEach(question)) {
    const row = question.rows.get(unit.serial);
    if (row === undefined) continue;
    const judged = judgeVisit(row, visit, question);
    if (judged !== undefined) results[judged.result].push(judged.visited);
  }
  return { ...results, cardsNotBack: cardsNotBack(question) };
}

function firstDay(visit: Visit, day: string): string {
  return visit.date ?? laterDay(day, 1 - undatedDays);
}

/** A unit that stands on several lines: its latest visit that has been, else the first one to come. */
function oneVisitEach({ visits, day }: VisitQuestion): { unit: UnitState; visit: Visit }[] {
  const chosen = new Map<string, { unit: UnitState; visit: Visit }>();
  for (const visit of visits)
    for (const unit of visit.units) {
      const other = chosen.get(unit.serial)?.visit;
      if (other === undefined || isNearer(firstDay(visit, day), firstDay(other, day), day))
        chosen.set(unit.serial, { unit, visit });
    }
  return [...chosen.values()];
}

function isNearer(date: string, other: string, day: string): boolean {
  const [isPast, otherIsPast] = [date <= day, other <= day];
  if (isPast !== otherIsPast) return isPast;
  return isPast ? date > other : date < other;
}

function judgeVisit(
  row: AuditRow,
  visit: Visit,
  { day, startOfDay }: VisitQuestion,
): { result: VisitResult; visited: VisitedUnit } | undefined {
  const { unit, standing } = row;
  const sinceMs = startOfDay(firstDay(visit, day));
  const last = unit.lastOutcome;
  const outcome = last !== null && last.atMs >= sinceMs ? last : null;
  const as = (result: VisitResult, why: string) => ({
    result,
    visited: { row, date: visit.date, outcome, why },
  });
  const needsNothing = standing.status === 'current' || standing.status === 'exempt';

  if (visit.date !== null && visit.date > day) return as('toCome', `The visit is on ${visit.date}.`);
  if (unit.left !== null && unit.left !== 'running')
    return as('leftOff', `It was left ${leftInWords(unit.left)}. ${row.why}`);
  if (standing.status === 'failed') return as('failed', row.why);
  if (outcome === null) {
    // At a site that is visited, a unit that needs nothing is not what the visit was for.
    if (needsNothing && visit.named === 'site') return undefined;
    return as('noWord', `Nothing was logged. ${row.why}`);
  }
  // An update that is still to be confirmed is none yet: nobody has read the version.
  if (needsNothing) return as('done', row.why);
  const reason = outcome.kind === 'deferred' ? `Deferred: ${outcome.reason ?? 'no reason given'}. ` : '';
  return as('notDone', `${reason}${row.why}`);
}

/** As it was prepared, or by the last part of its path, as people name a card image file. */
function cardNamed(cards: ReadonlyMap<string, CardOut>, name: string): CardOut | undefined {
  const namesakes = [...cards.values()].filter(({ card }) => baseName(card) === name);
  return cards.get(name) ?? (namesakes.length === 1 ? namesakes[0] : undefined);
}

/**
 * A card is out from the time it was prepared until it is seen again: prepared anew, or checked. One that was
 * prepared after the last day of the list was in hand again by then. Asked of the
 * cards with a release of a product on the list, and of those that an outcome at a listed unit names.
 */
function cardsNotBack(question: VisitQuestion): CardOut[] {
  const { visits, outcomes, prepared, checked, day, startOfDay } = question;
  const past = visits.filter((visit) => visit.date === null || visit.date <= day);
  if (past.length === 0) return [];
  const first = past.map((visit) => firstDay(visit, day)).sort()[0]!;
  const sinceMs = startOfDay(laterDay(first, -preparedDaysBefore));
  const last = past
    .map((visit) => visit.date ?? day)
    .sort()
    .at(-1)!;
  const inHandMs = startOfDay(laterDay(last, 1));
  const listed = new Set(past.flatMap(({ units }) => units.map(({ serial }) => serial)));
  const products = new Set(past.flatMap(({ units }) => units.map(({ product }) => product)));

  const out = new Map<string, CardOut>();
  for (const { body, claimedMs, doneBy } of prepared) {
    out.delete(body.card);
    if (body.verdict !== 'ready') continue;
    const { card, release } = body;
    out.set(card, { card, release, preparedMs: claimedMs, by: doneBy, usedAt: null });
  }
  for (const { body, claimedMs } of checked) {
    const card = out.get(body.card);
    if (card !== undefined && claimedMs > card.preparedMs) out.delete(body.card);
  }
  const used = new Set<string>();
  for (const { body, claimedMs } of outcomes) {
    const card = body.card === undefined ? undefined : cardNamed(out, body.card);
    if (card === undefined || claimedMs < card.preparedMs) continue;
    out.set(card.card, { ...card, usedAt: body.serial });
    if (listed.has(body.serial)) used.add(card.card);
  }
  return [...out.values()].filter(
    ({ card, release, preparedMs }) =>
      preparedMs < inHandMs &&
      (used.has(card) ||
        (preparedMs >= sinceMs && products.has(release.slice(0, Math.max(0, release.lastIndexOf('@')))))),
  );
}
