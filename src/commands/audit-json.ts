// The audit as fields of the JSON object: every unit as `units list` shows it, with the reason; counts, forecast
// and releases; and what became of visits.

import type { Audit, AuditRow } from '../fleet/audit.ts';
import type { Routes } from '../fleet/routes.ts';
import { type VisitedUnit, type VisitResults, visitResults } from '../fleet/visit-results.ts';
import { formatLocalTime } from '../words/local-time.ts';
import { unitJson } from './unit-view.ts';

interface Zone {
  offsetMinutes(atMs: number): number;
}

export function auditJson(audit: Audit, routes: Routes, zone: Zone): Record<string, unknown> {
  return {
    counts: audit.counts,
    units: audit.rows.map((row) => rowJson(row, routes, zone)),
    forecast: audit.forecast,
    releases: audit.releases.map(({ release, tried, failed, rule, haltedAfter, withdrawn, split }) => ({
      release,
      tried,
      failed,
      rule,
      haltedAfter,
      withdrawn,
      split,
    })),
  };
}

function rowJson({ unit, why }: AuditRow, routes: Routes, zone: Zone): Record<string, unknown> {
  return { ...unitJson(unit, routes, zone), why };
}

export function visitsJson(results: VisitResults, zone: Zone): Record<string, unknown> {
  const lists = visitResults.map((result) => [result, results[result].map((one) => visitedJson(one, zone))]);
  return {
    ...Object.fromEntries(lists),
    cardsNotBack: results.cardsNotBack.map(({ card, release, preparedMs, by, usedAt }) => ({
      card,
      release,
      preparedAt: formatLocalTime(preparedMs, zone),
      by,
      usedAt,
    })),
  };
}

function visitedJson({ row: { unit, standing }, date, outcome, why }: VisitedUnit, zone: Zone) {
  return {
    serial: unit.serial,
    site: unit.site,
    product: unit.product,
    date,
    status: standing.status,
    left: unit.left,
    outcome: outcome?.kind ?? null,
    reason: outcome?.reason ?? null,
    at: outcome === null ? null : formatLocalTime(outcome.atMs, zone),
    by: outcome?.by ?? null,
    why,
  };
}
