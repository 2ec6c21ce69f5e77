// A product's procedure as it is at one unit of a site where several are done: without the steps that are done once for
// the site at another unit, beginning from how those have left the site. The result is a product like any other, so
// that the check for gaps, the times and the walk need no second meaning of a step.

import type { Placing, Product, Step } from '../manifest/schema.ts';
import { isShared, sharedSteps, sitePositions } from '../manifest/shared-steps.ts';

/** This unit's place among those of its site. One alone is both. */
export interface SiteTurn {
  readonly first: boolean;
  readonly last: boolean;
}

export const aloneOnSite: SiteTurn = { first: true, last: true };

export function hasSharedSteps(product: Pick<Product, 'procedure'>): boolean {
  return product.procedure.some(isShared);
}

/** How the steps before the first unit leave the site. */
export function siteOpened(product: Product): Placing {
  const { opening } = sharedSteps(product);
  const site = sitePositions(product);
  const stands = Object.fromEntries([...site].map((name) => [name, product.positions[name]?.starts ?? '']));
  for (const step of product.procedure) {
    if (step.kind !== 'end' && opening.includes(step.id)) Object.assign(stands, step.sets);
  }
  return stands;
}

export function productAtTurn(product: Product, turn: SiteTurn): Product {
  if ((turn.first && turn.last) || !hasSharedSteps(product)) return product;
  const { opening, closing } = sharedSteps(product);
  const left = new Set([...(turn.first ? [] : opening), ...(turn.last ? [] : closing)]);
  const opened = siteOpened(product);
  const site = sitePositions(product);
  const positions = Object.fromEntries(
    Object.entries(product.positions).map(([name, position]) => [
      name,
      site.has(name)
        ? {
            ...position,
            starts: turn.first ? position.starts : (opened[name] ?? position.starts),
            // Where more units follow, the site stays as it was opened.
            ends: turn.last ? position.ends : (opened[name] ?? position.ends),
          }
        : position,
    ]),
  );
  const { procedure } = product;
  /** A step that is left out leads on to the next one that is not. */
  const insteadOf = (id: string): string => {
    let index = procedure.findIndex((step) => step.id === id);
    while (left.has(procedure[index]?.id ?? '')) index += 1;
    return procedure[index]?.id ?? id;
  };
  /** Where the site's visit ends, what the end does not name of the site stands as it does after the last unit. */
  const siteEnds = Object.fromEntries([...site].map((name) => [name, product.positions[name]?.ends ?? '']));
  const steps = procedure
    .filter(({ id }) => !left.has(id))
    .map((step) => redirected(step, insteadOf))
    .map((step) =>
      step.kind === 'end' && endsTheSite(product, step)
        ? { ...step, leaves: { ...siteEnds, ...step.leaves } }
        : step,
    );
  return { ...product, positions, procedure: steps };
}

/**
 * An end that says how the site is left is the end of the visit to the site: no other unit is begun there. Every other
 * end leaves the site as it was opened, for the next unit.
 */
export function endsTheSite(product: Product, step: Step): boolean {
  const site = sitePositions(product);
  return step.kind === 'end' && Object.keys(step.leaves).some((name) => site.has(name));
}

function redirected(step: Step, to: (id: string) => string): Step {
  switch (step.kind) {
    case 'end':
      return step;
    case 'watch':
      return {
        ...step,
        watch: Object.fromEntries(Object.entries(step.watch).map(([pattern, id]) => [pattern, to(id)])),
        late: to(step.late),
        unlisted: to(step.unlisted),
      };
    case 'read':
      return {
        ...step,
        ...(step.next !== undefined && { next: to(step.next) }),
        other: to(step.other),
        ...(step.unreadable !== undefined && { unreadable: to(step.unreadable) }),
      };
    case 'measure':
    case 'confirm':
      return {
        ...step,
        ...(step.next !== undefined && { next: to(step.next) }),
        otherwise: to(step.otherwise),
      };
    default:
      return {
        ...step,
        ...(step.next !== undefined && { next: to(step.next) }),
        ...(step.otherwise !== undefined && { otherwise: to(step.otherwise) }),
      };
  }
}
