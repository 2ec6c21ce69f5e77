// In which order the units of a site are done, where the product's manifest asks for one by role: those that come first,
// then all others, then those that come last. Within each the order that was given is kept.

import type { Product } from '../manifest/schema.ts';
import type { UnitState } from '../record/unit-state.ts';
import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import type { Routes } from './routes.ts';
import { standingOf, type UnitStatus } from './status.ts';

type Ordered = Pick<Product, 'order'>;
/** The register's further columns; `role` among them. */
interface Placed {
  readonly details: Readonly<Record<string, string>>;
}

/** 0: before all others; 1: no role, or one that the manifest does not name; 2: after all others. */
export function siteRank({ order }: Ordered, { details }: Placed): 0 | 1 | 2 {
  const role = (details.role ?? '').normalize('NFKC').trim().toLowerCase().replace(/\s+/g, '-');
  const place = Object.hasOwn(order, role) ? order[role] : undefined;
  return place === 'first' ? 0 : place === 'last' ? 2 : 1;
}

export function inSiteOrder<T extends Placed>(product: Ordered, units: readonly T[]): T[] {
  return [0, 1, 2].flatMap((rank) => units.filter((unit) => siteRank(product, unit) === rank));
}

interface Ranked extends UnitState {
  readonly details: Readonly<Record<string, string>>;
}

const stillToDo: readonly UnitStatus[] = ['due', 'overdue', 'failed', 'unknown'];

/**
 * Units of the same site and product that come before this one by role and still need their release: as long as there
 * are any, this one is not begun. Those that are exempt, or that no path leads to, are not waited for.
 */
export function unitsToDoFirst<T extends Ranked>(
  product: Ordered & Pick<Product, 'id'>,
  unit: T,
  ofSite: readonly T[],
  routes: Routes,
): T[] {
  const own = siteRank(product, unit);
  return ofSite.filter(
    (other) =>
      other.serial !== unit.serial &&
      other.product === product.id &&
      other.site === unit.site &&
      siteRank(product, other) < own &&
      stillToDo.includes(standingOf(other, routes).status),
  );
}

/** `severity`: a stop where this unit would be begun now, a warning where it is only printed. */
export function orderFinding(
  unit: { readonly serial: string },
  before: readonly { readonly serial: string }[],
  severity: 'stop' | 'warn',
): Finding {
  const serials = before.map(({ serial }) => printable(serial, 40));
  const shown = serials.slice(0, 5).join(', ');
  return {
    code: 'order-of-units',
    severity,
    summary: `By the manifest's order ${printable(unit.serial, 40)} comes after units of its site that are still to be done.`,
    seen: serials.length > 5 ? `${shown} and ${serials.length - 5} more` : shown,
    expected: 'those done before it',
    where: printable(unit.serial, 40),
    next: `Do ${serials[0]} first; or, if it is never to be done, exempt it: slotproof units exempt ${serials[0]}`,
  };
}
