// Whether lights speak against an update: what a technician saw last, held against where the procedure goes on
// from there. Knows no times and no positions.

import type { Product } from '../manifest/schema.ts';
import { type StepNode, stepGraphOf } from './step-graph.ts';

/**
 * True where the pattern says that the unit may still be writing, or where every watch that lists it goes on to
 * steps from which no `updated` end is reached without looking at the lights again or reading its version. Where
 * a procedure lets the version decide whatever the lights showed, such ways by a reading count.
 */
export function contradictsUpdate(product: Product, patternId: string): boolean {
  if (product.patterns.find(({ id }) => id === patternId)?.busy === true) return true;
  const { steps } = stepGraphOf(product);
  const seen = steps.flatMap(({ exits }) => exits.filter(({ reason }) => reason === 'lights'));
  const targets = seen.filter(({ pattern }) => pattern === patternId).map(({ to }) => to);
  const byReading = !seen.some(({ to }) => reachesUpdated(steps, to, false));
  return targets.length > 0 && !targets.some((to) => reachesUpdated(steps, to, byReading));
}

function reachesUpdated(steps: readonly StepNode[], from: number, byReading: boolean): boolean {
  const seen = new Set<number>();
  const ahead = [from];
  for (let index = ahead.pop(); index !== undefined; index = ahead.pop()) {
    const step = steps[index];
    if (step === undefined || seen.has(index) || step.kind === 'watch') continue;
    seen.add(index);
    if (step.end?.kind === 'updated') return true;
    const exits = step.exits.filter(({ reason }) => byReading || reason !== 'release-version');
    ahead.push(...exits.map(({ to }) => to));
    if (step.whenSpent !== undefined) ahead.push(step.whenSpent.to);
  }
  return false;
}
