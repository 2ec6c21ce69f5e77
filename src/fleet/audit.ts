// The audit of a fleet on one day: every unit with its status and the reason, how many there are of each, how
// each release fares, and by when the rest is likely to be done. Prints nothing and reads nothing.

import type { Catalogue } from '../manifest/catalogue.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { KnownEntry } from '../record/entry.ts';
import type { UnitState } from '../record/unit-state.ts';
import { type Forecast, forecastDays, weeklySuccesses } from './pace.ts';
import { addUpTrials, type ReleaseTrials, untried } from './release-trials.ts';
import type { Routes } from './routes.ts';
import { standingOf, type UnitStanding, type UnitStatus, unitStatuses } from './status.ts';
import { isWithdrawn } from './target.ts';
import { type DayOf, whyStanding } from './why.ts';

type OutcomeEntry = Extract<KnownEntry, { kind: 'outcome' }>;

export interface AuditRow {
  readonly unit: UnitState;
  readonly standing: UnitStanding;
  readonly why: string;
}

export interface AuditedRelease extends ReleaseTrials {
  readonly withdrawn: boolean;
}

export interface Audit {
  readonly day: string;
  /** Of the units asked about; by site, then serial. */
  readonly rows: readonly AuditRow[];
  readonly counts: Readonly<Record<UnitStatus, number>>;
  /** How many units the forecast is about: all that need work which a visit can do. */
  readonly rest: number;
  readonly forecast: Forecast | null;
  readonly releases: readonly AuditedRelease[];
}

export interface AuditQuestion {
  readonly catalogue: Catalogue;
  readonly routes: Routes;
  /** All units, retired ones too, as their entries up to the day add up. */
  readonly units: readonly UnitState[];
  /** All outcomes up to the day, in the order in which they happened. */
  readonly outcomes: readonly OutcomeEntry[];
  readonly product?: string | undefined;
  readonly site?: string | undefined;
  readonly dayOf: DayOf;
  /** The end of the day; where that has not come yet, of today. */
  readonly endMs: number;
}

export function auditFleet(question: AuditQuestion): Audit {
  const { catalogue, routes, units, outcomes, product, site, dayOf, endMs } = question;
  const asked = units
    .filter((unit) => !unit.retired)
    .filter((unit) => product === undefined || unit.product === product)
    .filter((unit) => site === undefined || unit.site === site);
  const rows = asked
    .map((unit): AuditRow => {
      const standing = standingOf(unit, routes);
      return { unit, standing, why: whyStanding(unit, standing, dayOf) };
    })
    .sort(bySiteAndSerial);
  const counts = Object.fromEntries(unitStatuses.map((status) => [status, 0])) as Record<UnitStatus, number>;
  for (const { standing } of rows) counts[standing.status]++;

  const rest = counts.due + counts.overdue + counts.failed + counts.unknown + counts['to-confirm'];
  const weekly = weeklySuccesses(outcomes, new Map(asked.map((unit) => [unit.serial, unit])), routes, endMs);
  return {
    day: routes.day,
    rows,
    counts,
    rest,
    forecast: rows.length === 0 ? null : forecastDays(rest, weekly, dayOf(endMs - 1)),
    releases: auditReleases(catalogue, routes, units, outcomes, rows, product),
  };
}

/** Every release that is a target here or was tried anywhere: whether it goes wrong is no matter of one site. */
function auditReleases(
  catalogue: Catalogue,
  routes: Routes,
  units: readonly UnitState[],
  outcomes: readonly OutcomeEntry[],
  rows: readonly AuditRow[],
  product: string | undefined,
): AuditedRelease[] {
  const hardware = new Map(units.map((unit) => [unit.serial, unit.hardware]));
  const trials = addUpTrials(outcomes, (serial) => hardware.get(serial));
  const targets = new Set(rows.flatMap(({ standing }) => standing.target ?? []));
  const known = catalogue.releases
    .filter((release) => targets.has(release) || trials.has(releaseKey(release)))
    .map((release) => ({
      ...(trials.get(releaseKey(release)) ?? untried(releaseKey(release))),
      withdrawn: isWithdrawn(release, routes.day),
    }));
  const named = new Set(known.map(({ release }) => release));
  // Tried once, and its manifest is gone since.
  const gone = [...trials.values()]
    .filter(({ release }) => !named.has(release))
    .sort((a, b) => (a.release < b.release ? -1 : 1))
    .map((one) => ({ ...one, withdrawn: false }));
  return [...known, ...gone].filter(
    ({ release }) => product === undefined || release.startsWith(`${product}@`),
  );
}

function bySiteAndSerial(a: AuditRow, b: AuditRow): number {
  const [x, y] = [a.unit.site ?? '', b.unit.site ?? ''];
  if (x !== y) return x < y ? -1 : 1;
  return a.unit.serial < b.unit.serial ? -1 : 1;
}

/** Outstanding for `--fail-if`: `due` is every unit that still needs something, `overdue` those past their date. */
export function outstanding(audit: Audit, failIf: 'due' | 'overdue'): AuditRow[] {
  return audit.rows.filter(({ standing: { status, late } }) => {
    if (status === 'current' || status === 'exempt') return false;
    return failIf === 'due' || late;
  });
}
