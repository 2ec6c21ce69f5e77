// The units that stand with others on a site, where the manifest asks for an order among them. Reads the register only
// for products that ask for one.

import type { Routes } from '../fleet/routes.ts';
import { orderFinding, unitsToDoFirst } from '../fleet/site-order.ts';
import type { Product } from '../manifest/schema.ts';
import type { UnitState } from '../record/unit-state.ts';
import type { Finding } from '../words/finding.ts';
import type { Context } from './context.ts';

export async function unitsOfSite(
  context: Context,
  product: Product,
  site: string | null,
): Promise<UnitState[]> {
  const store = site === null ? undefined : await context.record('read');
  if (store === undefined || site === null) return [];
  const units: UnitState[] = [];
  for await (const unit of store.units({ product: product.id, site })) units.push(unit);
  return units;
}

function asksForOrder(product: Product): boolean {
  return Object.keys(product.order).length > 0;
}

/** Units that must be done before this one is begun. */
export async function unitsBefore(
  context: Context,
  product: Product,
  unit: UnitState,
  routes: Routes,
): Promise<UnitState[]> {
  if (!asksForOrder(product)) return [];
  return unitsToDoFirst(product, unit, await unitsOfSite(context, product, unit.site), routes);
}

/** Of units on one sheet: who comes before one of them and is not on it. */
export async function orderOfSheet(
  context: Context,
  product: Product,
  units: readonly UnitState[],
  routes: Routes,
): Promise<Finding[]> {
  const findings: Finding[] = [];
  for (const unit of units) {
    const before = await unitsBefore(context, product, unit, routes);
    const missing = before.filter(({ serial }) => !units.some((one) => one.serial === serial));
    if (missing.length > 0) findings.push(orderFinding(unit, missing, 'warn'));
  }
  return findings;
}
