// The status of one unit on one day: the first of eight that holds, and what stands beside it. Works from what
// the unit's entries add up to and the manifests of the day. `current` rests on a version that our own people
// read; nothing else can make a unit current.

import type { Release } from '../manifest/schema.ts';
import type { Outcome, UnitState } from '../record/unit-state.ts';
import type { Routes } from './routes.ts';
import { isWithdrawn } from './target.ts';
import { type UnreadUpdate, unreadUpdate } from './unread-update.ts';

export const unitStatuses = [
  'current',
  'to-confirm',
  'due',
  'overdue',
  'failed',
  'no-path',
  'unknown',
  'exempt',
] as const;
export type UnitStatus = (typeof unitStatuses)[number];

export interface UnitStanding {
  readonly status: UnitStatus;
  /** The target's due date has passed; never true of a current unit. */
  readonly late: boolean;
  /** The version known belongs to a release that is withdrawn, or the unit was updated to one and not read since. */
  readonly onWithdrawn: boolean;
  readonly target: Release | null;
  /** What to install, in order, the target last. Empty: the version known needs nothing, or no path is known. */
  readonly path: readonly Release[];
  /** The target's due date, that day included. */
  readonly dueBy: string | null;
  /** The withdrawn release that the unit has. */
  readonly withdrawn: Release | null;
  /** What is to be confirmed, where the status is `to-confirm`. */
  readonly toConfirm: 'outcome' | 'report' | null;
  /** An update after which no version was read, whatever the status: it says nothing of what the version is now. */
  readonly unread: UnreadUpdate | null;
}

/** The first that holds, in the order in which the rules stand. */
export function standingOf(unit: UnitState, routes: Routes): UnitStanding {
  const target = routes.target(unit);
  const known = unit.version;
  const withdrawn =
    known === null
      ? undefined
      : routes.releasesOf(unit.product, known.version).find((release) => isWithdrawn(release, routes.day));
  const path = known === null ? undefined : routes.path(unit, known.version);
  const isPastDue = target?.due !== undefined && target.due < routes.day;
  const unread = unreadUpdate(unit, routes);
  const wouldBeCurrent = known !== null && makesCurrent(unit, known.version, target, withdrawn, routes);

  const toConfirm =
    target !== undefined && awaitsReading(unit, target, routes)
      ? 'outcome'
      : wouldBeCurrent && known.evidence === 'reported'
        ? 'report'
        : null;

  const status = ((): UnitStatus => {
    if (hasFailed(unit, target, routes)) return 'failed';
    if (isExempt(unit, routes.day)) return 'exempt';
    if (known === null) return 'unknown';
    if (toConfirm !== null) return 'to-confirm';
    if (wouldBeCurrent) return 'current';
    if (path === undefined) return 'no-path';
    return isPastDue ? 'overdue' : 'due';
  })();

  return {
    status,
    late: isPastDue && status !== 'current',
    onWithdrawn: withdrawn !== undefined || (unread !== null && unread.withdrawn !== null),
    target: target ?? null,
    path: wouldBeCurrent ? [] : (path ?? []),
    dueBy: target?.due ?? null,
    withdrawn: withdrawn ?? null,
    toConfirm: status === 'to-confirm' ? toConfirm : null,
    unread,
  };
}

/** Nothing but a reading of the target's version clears a failure; a deferral or a report does not. */
function hasFailed(unit: UnitState, target: Release | undefined, routes: Routes): boolean {
  if (unit.lastDecisive?.kind !== 'failed') return false;
  return (
    target === undefined ||
    !unit.readSince.some((version) => routes.compare(unit.product, version, target.version) === 0)
  );
}

export function isExempt(unit: Pick<UnitState, 'exempt'>, day: string): boolean {
  return unit.exempt !== null && (unit.exempt.until === null || unit.exempt.until >= day);
}

/** Updated to the present target, but known by lights alone, or not left running, and not read since. */
export function awaitsReading(unit: UnitState, target: Release, routes: Routes): boolean {
  const outcome = unit.lastOutcome;
  if (outcome?.kind !== 'updated' || outcome.release === undefined) return false;
  if (!namesRelease(outcome.release, target, routes)) return false;
  if (outcome.evidence === 'read' && isLeftRunning(outcome)) return false;
  return readAfter(unit, outcome) === undefined;
}

/** An updated unit of which nothing else was said was left running. */
export function isLeftRunning(outcome: Outcome): boolean {
  return (outcome.left ?? 'running') === 'running';
}

/** The version that our own people read from the unit after that outcome; what was read during it is not after. */
function readAfter(unit: UnitState, outcome: Outcome): string | undefined {
  const reading = unit.versionRead;
  return reading !== null && reading.atMs > outcome.atMs ? reading.version : undefined;
}

function makesCurrent(
  unit: UnitState,
  version: string,
  target: Release | undefined,
  withdrawn: Release | undefined,
  routes: Routes,
): boolean {
  // Without a sound manifest of the product nothing is known of its releases, not even that there are none.
  if (routes.product(unit.product) === undefined) return false;
  if (target === undefined) return withdrawn === undefined;
  const order = routes.compare(unit.product, version, target.version);
  if (order === 0) return true;
  return (
    order > 0 &&
    withdrawn === undefined &&
    !routes.releasesOf(unit.product, version).some(({ sequence }) => sequence < target.sequence)
  );
}

/** `product@version`, the version as the product's scheme compares it. */
export function namesRelease(name: string, release: Release, routes: Routes): boolean {
  const at = name.lastIndexOf('@');
  return (
    name.slice(0, at) === release.product &&
    routes.compare(release.product, name.slice(at + 1), release.version) === 0
  );
}
