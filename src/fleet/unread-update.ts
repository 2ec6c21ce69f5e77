// A unit that was updated on what its lights showed, or on what a file of its said, while nobody of ours has read its
// version since: what it really has may be what it had before, or that release. Which of the two counts for its status is
// not settled here (status.ts goes by what was read); everybody who sends somebody there says it.

import type { Release } from '../manifest/schema.ts';
import type { Outcome, UnitState } from '../record/unit-state.ts';
import type { Routes } from './routes.ts';
import { isWithdrawn } from './target.ts';

export interface UnreadUpdate {
  readonly outcome: Outcome;
  /** As the outcome names it. */
  readonly version: string;
  /** That release, where it is withdrawn. */
  readonly withdrawn: Release | null;
}

/** A deferral after it changes nothing; a failure is told by itself. */
export function unreadUpdate(unit: UnitState, routes: Routes): UnreadUpdate | null {
  const outcome = unit.lastDecisive;
  if (outcome?.kind !== 'updated' || outcome.release === undefined) return null;
  const at = outcome.release.lastIndexOf('@');
  if (outcome.release.slice(0, at) !== unit.product) return null;
  if (outcome.versionRead !== undefined || unit.readSince.length > 0) return null;
  const version = outcome.release.slice(at + 1);
  const withdrawn = routes.releasesOf(unit.product, version).find((one) => isWithdrawn(one, routes.day));
  return { outcome, version, withdrawn: withdrawn ?? null };
}

/** `on lights alone`, `as reported alone`. */
export function howUpdated({ evidence }: Outcome): string {
  return evidence === 'reported' ? 'as reported alone' : 'on lights alone';
}
