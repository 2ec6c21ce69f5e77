// What became of a list of visits, the worst first: left off, failed, not done, no word; then what was done, and
// what is still to come; and the cards that went out for them and have not been seen since. Only an entry counts
// as word, and only a reading or the like as done: see status.ts.

import type { KnownCard } from '../record/known-cards.ts';
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
  /** As the record knew them at the end of the day. */
  readonly cards: readonly KnownCard[];
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

/**
 * A card is out from the time it was prepared until it is seen again: prepared anew, or checked. One that was
 * prepared after the last day of the list was in hand again by then. Asked of the
 * cards with a release of a product on the list, and of those that an outcome at a listed unit names.
 */
function cardsNotBack({ visits, cards, day, startOfDay }: VisitQuestion): CardOut[] {
  const past = visits.filter((visit) => visit.date === null || visit.date <= day);
  if (past.length === 0) return [];
  const days = past.map((visit) => firstDay(visit, day)).sort();
  const sinceMs = startOfDay(laterDay(days[0] ?? day, -preparedDaysBefore));
  const last = past.map((visit) => visit.date ?? day).sort();
  const inHandMs = startOfDay(laterDay(last.at(-1) ?? day, 1));
  const listed = new Set(past.flatMap(({ units }) => units.map(({ serial }) => serial)));
  const products = new Set(past.flatMap(({ units }) => units.map(({ product }) => product)));

  const isOut = ({ prepared, seenMs, retired }: KnownCard) =>
    prepared.verdict === 'ready' && retired === null && seenMs <= prepared.atMs && prepared.atMs < inHandMs;
  const isOfList = ({ prepared, uses }: KnownCard) =>
    uses.some(({ serial }) => listed.has(serial)) ||
    (prepared.atMs >= sinceMs &&
      products.has(prepared.release.slice(0, Math.max(0, prepared.release.lastIndexOf('@')))));
  return cards
    .filter((card) => isOut(card) && isOfList(card))
    .sort((a, b) => a.prepared.atMs - b.prepared.atMs)
    .map(({ card, prepared, uses }) => ({
      card,
      release: prepared.release,
      preparedMs: prepared.atMs,
      by: prepared.by,
      usedAt: uses.at(-1)?.serial ?? null,
    }));
}
