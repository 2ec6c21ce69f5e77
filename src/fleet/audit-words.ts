// The words in which an audit is told, one for the terminal, the page and the table alike: what each status asks
// for, how a path is written, what the halt rule says. Text from outside is made safe to print here.

import { counted } from '../words/counted.ts';
import { printable } from '../words/printable.ts';
import type { Audit, AuditedRelease, AuditRow } from './audit.ts';
import { splitKinds } from './release-trials.ts';
import type { UnitStatus } from './status.ts';
import type { CardOut, VisitedUnit, VisitResult } from './visit-results.ts';
import type { DayOf } from './why.ts';

/** What has to be done comes last here, so that the most urgent stands nearest to the prompt. */
export const leastUrgentFirst: readonly UnitStatus[] = [
  'current',
  'exempt',
  'to-confirm',
  'due',
  'unknown',
  'no-path',
  'overdue',
  'failed',
];

export const askedOf: Readonly<Record<UnitStatus, string>> = {
  current: 'nothing to do',
  exempt: 'nothing to do as long as that holds',
  'to-confirm': 'read the version at the unit and log it',
  due: 'carry the next release there',
  unknown: 'read the version at the unit and log it',
  'no-path': 'ask the maker for a way, or see why',
  overdue: 'carry the next release there now',
  failed: 'see to the unit, then read its version',
};

export const visitTitles: Readonly<Record<VisitResult, string>> = {
  leftOff: 'Left off',
  failed: 'Failed',
  notDone: 'Not done',
  noWord: 'No word',
  toCome: 'Still to come',
  done: 'Done',
};

export function statusWords({ standing: { status, late } }: AuditRow): string {
  return late && status !== 'overdue' ? `${status}, late` : status;
}

/** `3.8.0 (reported)`, `not known`. */
export function versionWords({ unit: { version } }: AuditRow): string {
  if (version === null) return 'not known';
  return `${printable(version.version, 40)}${version.evidence === 'reported' ? ' (reported)' : ''}`;
}

export function pathWords({ standing: { path } }: AuditRow): string {
  return path.map(({ version }) => version).join(', then ');
}

/** Neither current nor exempt, or left in a condition that somebody has to see to, or perhaps on what is withdrawn. */
export function needsSomething(row: AuditRow): boolean {
  const { status } = row.standing;
  return (status !== 'current' && status !== 'exempt') || isLeftOff(row.unit.left) || mayHaveWithdrawn(row);
}

/** Updated to a release that is withdrawn now, and not read since; whatever its version was before. */
export function mayHaveWithdrawn({ standing: { status, unread } }: AuditRow): boolean {
  return status !== 'exempt' && unread !== null && unread.withdrawn !== null;
}

/** undefined where there are none. */
export function unreadWords({ rows }: Audit): string | undefined {
  const units = rows.filter(mayHaveWithdrawn);
  if (units.length === 0) return undefined;
  const names = units.slice(0, 8).map(({ unit }) => printable(unit.serial, 80));
  return `${counted(units.length, 'unit')} updated to a release that is withdrawn now, and not read since: ${names.join(', ')}${units.length > 8 ? ', ...' : ''}. Read the version there first`;
}

export function isLeftOff(left: string | null): boolean {
  return left !== null && left !== 'running';
}

export function countWords({ rows, counts }: Audit): string {
  const shown = leastUrgentFirst.filter((status) => counts[status] > 0).reverse();
  return `${counted(rows.length, 'unit')}: ${shown.map((status) => `${counts[status]} ${status}`).join(', ')}.`;
}

export function forecastWords({ rest, forecast, rows }: Audit): string {
  if (rows.length === 0) return '';
  if (rest === 0) return 'Nothing is left that a visit could do.';
  if (forecast === null)
    return `When the remaining ${counted(rest, 'unit')} will be done cannot be said yet.`;
  return `At the pace so far the remaining ${counted(rest, 'unit')} will be done by ${forecast.p50} (50 % chance), by ${forecast.p90} (90 %).`;
}

/** One sentence, and the split of the failures where it may tell something. */
export function releaseWords(release: AuditedRelease): string[] {
  const { tried, failed, rule, withdrawn } = release;
  const name = `${printable(release.release, 80)}${withdrawn ? ' (withdrawn)' : ''}`;
  const count =
    tried === 0 ? 'not tried yet' : `failed in ${failed} of ${tried === 1 ? '1 try' : `${tried} tries`}`;
  const verdict = {
    halt: 'HALT: it fails too often to be carried on',
    'go-on': 'go on: too few tries to tell',
    'no-alarm': 'no alarm',
  }[rule];
  // However few failed so far: nobody is told to go on with what is withdrawn.
  const told = withdrawn && rule !== 'halt' ? 'carry it nowhere' : tried === 0 ? null : verdict;
  const sentence = `${name}: ${count}${told === null ? '' : `; ${told}`}.`;
  return failed < 2 ? [sentence] : [sentence, ...splitWords(release)];
}

/** A split with one group says nothing. */
function splitWords({ split }: AuditedRelease): string[] {
  return splitKinds.flatMap((kind) => {
    const groups = split[kind];
    if (groups.length < 2) return [];
    const shown = groups
      .slice(0, 6)
      .map(({ name, tried, failed }) => `${printable(name, 40)} ${failed} of ${tried}`);
    return [`by ${kind}: ${shown.join('; ')}${groups.length > 6 ? '; ...' : ''}`];
  });
}

export function visitedWords({ row, why }: VisitedUnit): string {
  const { serial, site } = row.unit;
  return `${printable(serial, 80)}${site === null ? '' : ` (${printable(site, 60)})`}: ${printable(why, 600)}`;
}

export function cardWords(card: CardOut, dayOf: DayOf): string {
  const used = card.usedAt === null ? '' : `, used at ${printable(card.usedAt, 80)}`;
  return `${printable(card.card, 120)}: ${printable(card.release, 80)}, prepared ${dayOf(card.preparedMs)} by ${printable(card.by, 60)}${used}`;
}
