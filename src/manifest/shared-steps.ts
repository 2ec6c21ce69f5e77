// Steps that a manifest marks `oncePerSite`, and what follows from the marks: which are done before the first unit of a
// site, which after the last, and which positions are the site's rather than a unit's.

import type { Product, Step } from './schema.ts';

type Written = Pick<Product, 'procedure'>;

export function isShared(step: Step): boolean {
  return 'oncePerSite' in step && step.oncePerSite === true;
}

/** Those that the procedure opens with are done at the first unit, before anything else; all others at the last. */
export function sharedSteps({ procedure }: Written): {
  readonly opening: readonly string[];
  readonly closing: readonly string[];
} {
  const firstOwn = procedure.findIndex((step) => !isShared(step));
  const ids = (steps: readonly Step[]) => steps.filter(isShared).map(({ id }) => id);
  return { opening: ids(procedure.slice(0, firstOwn)), closing: ids(procedure.slice(firstOwn)) };
}

/** Positions that a shared step sets: they stand for every unit of the site. */
export function sitePositions({ procedure }: Written): ReadonlySet<string> {
  return new Set(
    procedure.flatMap((step) => (isShared(step) && step.kind !== 'end' ? Object.keys(step.sets) : [])),
  );
}
