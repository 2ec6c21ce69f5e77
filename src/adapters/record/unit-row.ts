// A unit as a row of either engine's table, and what a filter of units asks of that table.

import type { RecordRules, UnitKeys } from '../../ports/record-rules.ts';
import type { UnitFilter } from '../../ports/record-store.ts';

export interface UnitRow {
  readonly serial: string;
  readonly product: string;
  readonly site: string | null;
  /** 0 or 1: a column of both engines. */
  readonly retired: number;
  readonly newest_ms: number;
  readonly state: string;
}

export function unitRow<Unit>(rules: RecordRules<Unit>, unit: Unit): UnitRow {
  const { serial, product, site, retired, newestMs } = rules.keys(unit);
  return {
    serial,
    product,
    site,
    retired: retired ? 1 : 0,
    newest_ms: newestMs,
    state: rules.encodeUnit(unit),
  };
}

export type UnitsPage = 'unitsPage' | 'unitsPageOfProduct' | 'unitsPageAtSite' | 'unitsPageOfProductAtSite';

/** The query that finds the units, and its values. What it lets through is looked at once more: `admitsUnit`. */
export function unitsPageOf({ product, site, claimedBeforeMs }: UnitFilter): {
  readonly name: UnitsPage;
  readonly values: Readonly<Record<string, string>>;
} {
  // As of an earlier time a unit may have stood elsewhere: its keys are looked at after it is added up.
  if (claimedBeforeMs !== undefined) return { name: 'unitsPage', values: {} };
  if (product !== undefined && site !== undefined)
    return { name: 'unitsPageOfProductAtSite', values: { product, site } };
  if (product !== undefined) return { name: 'unitsPageOfProduct', values: { product } };
  if (site !== undefined) return { name: 'unitsPageAtSite', values: { site } };
  return { name: 'unitsPage', values: {} };
}

export function admitsUnit(filter: UnitFilter, { product, site, retired }: UnitKeys): boolean {
  if (filter.product !== undefined && filter.product !== product) return false;
  if (filter.site !== undefined && filter.site !== site) return false;
  const wanted = filter.retired ?? 'without';
  return wanted === 'with' || retired === (wanted === 'only');
}
