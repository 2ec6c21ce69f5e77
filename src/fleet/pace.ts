// How many units were brought to their present target in each week so far: what the forecast is made from. A
// success is the first outcome after which the unit counted as done: the target's version read, the unit
// running. Updates on the way to the target, and those known by lights alone, are none.

import type { KnownEntry } from '../record/entry.ts';
import type { UnitState } from '../record/unit-state.ts';
import { forecastWeeks } from './forecast.ts';
import type { Routes } from './routes.ts';

type OutcomeEntry = Extract<KnownEntry, { kind: 'outcome' }>;

const weekMs = 7 * 86_400_000;
/** Half a year: what was longer ago was another campaign. */
const maxWeeks = 26;

/**
 * Successes in spans of seven days that end at `endMs`, the latest first, back to the first success.
 * `outcomes` in the order in which they happened.
 */
export function weeklySuccesses(
  outcomes: Iterable<OutcomeEntry>,
  units: ReadonlyMap<string, UnitState>,
  routes: Routes,
  endMs: number,
): number[] {
  const done = new Set<string>();
  const weekly: number[] = [];
  for (const { body, claimedMs } of outcomes) {
    const unit = units.get(body.serial);
    const target = unit && routes.target(unit);
    if (unit === undefined || target === undefined || done.has(body.serial)) continue;
    const isDone =
      body.outcome === 'already-current' ||
      (body.outcome === 'updated' && (body.left ?? 'running') === 'running');
    if (!isDone || body.versionRead === undefined) continue;
    if (routes.compare(unit.product, body.versionRead, target.version) !== 0) continue;
    done.add(body.serial);
    const week = Math.max(0, Math.floor((endMs - 1 - claimedMs) / weekMs));
    if (week < maxWeeks) weekly[week] = (weekly[week] ?? 0) + 1;
  }
  return Array.from(weekly, (count) => count ?? 0);
}

export interface Forecast {
  /** Local days by whose end the rest is done, with a chance of 50 and of 90 per cent. */
  readonly p50: string;
  readonly p90: string;
}

/** null where it cannot be said. `day`: the one from which on is counted. */
export function forecastDays(rest: number, weekly: readonly number[], day: string): Forecast | null {
  const weeks = forecastWeeks(rest, weekly);
  return weeks && { p50: laterDay(day, 7 * weeks.p50), p90: laterDay(day, 7 * weeks.p90) };
}

/** The day so many days after another: `2026-10-31` and 1 is `2026-11-01`. */
export function laterDay(day: string, days: number): string {
  const date = new Date(`${day}T00:00:00Z`);
  date.setUTCDate(date.getUTCDate() + days);
  return date.toISOString().slice(0, 10);
}
