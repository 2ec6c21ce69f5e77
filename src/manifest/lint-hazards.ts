// Hazards that ask for a step which the procedure does not have. Warnings alone: whether the maker's document asks for
// that step is for those to say who wrote the procedure down and who checked it. Says nothing of where it must stand.

import type { Fault } from './fault.ts';
import type { Hazard } from './hazards.ts';
import type { Product } from './schema.ts';

export type MissingStep = 'dead-test-missing' | 'discharge-wait-missing';

/** A voltage may be left there with everything switched off: an unlit light does not prove dead. */
const stayLive: readonly Hazard[] = ['battery-dc', 'pv-dc', 'stored-charge', 'backfeed'];

type Written = Pick<Product, 'hazards' | 'procedure'>;

export function missingSteps({ hazards, procedure }: Written): MissingStep[] {
  const missing: MissingStep[] = [];
  if (
    hazards.some((hazard) => stayLive.includes(hazard)) &&
    !procedure.some(({ kind }) => kind === 'measure')
  ) {
    missing.push('dead-test-missing');
  }
  if (hazards.includes('stored-charge') && !procedure.some(({ kind }) => kind === 'wait')) {
    missing.push('discharge-wait-missing');
  }
  return missing;
}

const texts: Readonly<Record<MissingStep, { summary: string; next: string }>> = {
  'dead-test-missing': {
    summary: 'Its hazards speak of voltage that stays, but no step tests for it.',
    next: "Look into the maker's document once more: where it asks for a test, add a measure step.",
  },
  'discharge-wait-missing': {
    summary: 'Its hazards speak of stored charge, but no step waits for it to go.',
    next: "Look into the maker's document and at the unit's plate: where they give a time, add a wait step.",
  },
};

export function lintHazards(product: Product): Fault[] {
  return missingSteps(product).map((code) => ({ code, severity: 'warn', path: ['hazards'], ...texts[code] }));
}
