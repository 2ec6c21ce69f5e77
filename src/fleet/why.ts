// One plain sentence, sometimes two, that says why a unit has the status it has. Text from manifests and tables
// goes in as it is: whoever prints it makes it safe.

import type { Outcome, UnitState } from '../record/unit-state.ts';
import type { UnitStanding } from './status.ts';
import { howUpdated } from './unread-update.ts';

/** The local day of an instant, `2026-11-24`. */
export type DayOf = (atMs: number) => string;

export function whyStanding(unit: UnitState, standing: UnitStanding, dayOf: DayOf): string {
  const gone = standing.status === 'no-path' ? null : standing.withdrawn;
  return `${reasonFor(unit, standing, dayOf)}${withdrawnSentence(gone)}${unreadSentence(standing, dayOf)}`;
}

/** What the unit has by what was read last, it may have no longer. */
function unreadSentence({ unread, status, withdrawn }: UnitStanding, dayOf: DayOf): string {
  if (unread === null || (status === 'to-confirm' && unread.withdrawn === null)) return '';
  const { outcome, version } = unread;
  const gone = unread.withdrawn === withdrawn ? null : unread.withdrawn;
  return ` It was updated to ${version} on ${dayOf(outcome.atMs)}, ${howUpdated(outcome)}, and not read since: read its version first.${withdrawnSentence(gone)}`;
}

function withdrawnSentence(release: UnitStanding['withdrawn']): string {
  if (release?.withdrawn === undefined) return '';
  const { why, doThis } = release.withdrawn;
  return ` ${release.version} was withdrawn: ${fullStop(why)}${doThis === undefined ? '' : ` ${fullStop(doThis)}`}`;
}

function reasonFor(unit: UnitState, standing: UnitStanding, dayOf: DayOf): string {
  switch (standing.status) {
    case 'failed':
      return failedReason(unit.lastDecisive, standing, dayOf);
    case 'exempt': {
      const until = unit.exempt?.until == null ? '' : ` to the end of ${unit.exempt.until}`;
      return `Exempt${until}: ${fullStop(unit.exempt?.why ?? '')}`;
    }
    case 'unknown':
      return 'No version of it is known: read it at the unit.';
    case 'to-confirm':
      return toConfirmReason(unit, standing, dayOf);
    case 'current':
      return currentReason(unit, standing, dayOf);
    case 'no-path':
      return noPathReason(unit, standing);
    case 'overdue':
      return `${needs(unit, standing)} It was due by ${standing.dueBy}.`;
    case 'due':
      return `${needs(unit, standing)} ${standing.dueBy === null ? 'No date is set.' : `It is due by ${standing.dueBy}.`}`;
  }
}

function failedReason(outcome: Outcome | null, { target }: UnitStanding, dayOf: DayOf): string {
  if (outcome === null) return 'The last attempt failed.';
  const what = outcome.release === undefined ? 'The attempt' : versionOf(outcome.release);
  const facts = [
    outcome.cause === undefined ? undefined : `cause: ${outcome.cause}`,
    outcome.left === undefined ? undefined : `left ${leftInWords(outcome.left)}`,
  ].filter((fact) => fact !== undefined);
  const aside = facts.length === 0 ? '' : ` (${facts.join(', ')})`;
  const since = target === null ? '' : ` ${target.version} was not read from it since.`;
  return `${what} failed on ${dayOf(outcome.atMs)}${aside}.${since}`;
}

function toConfirmReason(unit: UnitState, { target, toConfirm }: UnitStanding, dayOf: DayOf): string {
  const { lastOutcome: outcome, version } = unit;
  if (toConfirm === 'outcome' && outcome !== null) {
    const left = outcome.left ?? 'running';
    const how = outcome.evidence === 'read' ? '' : `, ${howUpdated(outcome)}`;
    const state = left === 'running' ? '' : `, but was left ${leftInWords(left)}`;
    return `It was updated to ${target?.version ?? 'its target'} on ${dayOf(outcome.atMs)}${how}${state}. Its version was not read since.`;
  }
  return `${version?.version ?? 'Its version'} was only reported${version === null ? '' : ` (${dayOf(version.atMs)})`}: read it at the unit.`;
}

function currentReason(unit: UnitState, { target }: UnitStanding, dayOf: DayOf): string {
  const known = unit.version;
  if (known === null) return 'Nothing needs to be done.';
  const read = `${known.version} was read on ${dayOf(known.atMs)}`;
  if (target === null) {
    const hardware = unit.hardware === null ? '' : ` for hardware ${unit.hardware}`;
    return `${read}; no release of ${unit.product}${hardware} applies.`;
  }
  return known.version === target.version ? `${read}.` : `${read}; the target is ${target.version}.`;
}

function noPathReason(unit: UnitState, { target, withdrawn }: UnitStanding): string {
  const version = unit.version?.version ?? '';
  const gone = withdrawn?.withdrawn;
  const since = gone === undefined ? '' : ` ${version} was withdrawn: ${fullStop(gone.why)}`;
  const then = gone?.doThis === undefined ? '' : ` ${fullStop(gone.doThis)}`;
  if (target === null) {
    return gone === undefined
      ? `There is no sound manifest of ${unit.product}, so nothing can be said of ${version}.`
      : `There is no release to go to.${since}${then}`;
  }
  const which =
    unit.hardware === null ? 'Its hardware revision is not known: say it first.' : 'Ask the maker for a way.';
  return `No release leads from ${version} to ${target.version}.${since}${then} ${which}`;
}

function needs(unit: UnitState, { path }: UnitStanding): string {
  const known = unit.version;
  const has =
    known === null ? '' : `It has ${known.version}${known.evidence === 'reported' ? ' (reported)' : ''} and `;
  return `${has}needs ${path.map(({ version }) => version).join(', then ')}.`;
}

export function leftInWords(left: string): string {
  return left === 'locked-off' ? 'locked off' : left === 'no-life' ? 'without a sign of life' : left;
}

function versionOf(release: string): string {
  return release.slice(release.lastIndexOf('@') + 1);
}

function fullStop(text: string): string {
  return /[.!?]$/.test(text) ? text : `${text}.`;
}
