// From what is kept of a sheet to what its outcomes are checked by. Only a sheet of which a pocket page was made has
// a key; the key stays on the laptop and in the page.

import type { Random } from '../../ports/random.ts';
import type { SheetFacts } from '../sheet-facts.ts';
import { hexOf } from './keyed-check.ts';
import type { OutcomeSheet } from './outcome.ts';

const keyBytes = 32;

/** A new key, to be kept as `pocket` of the sheet's facts. */
export function drawPocketFacts(
  random: Random,
  patterns: readonly { readonly id: string }[],
): NonNullable<SheetFacts['pocket']> {
  return { key: hexOf(random.bytes(keyBytes)), patterns: patterns.map(({ id }) => id) };
}

/** undefined: no pocket page was made of this sheet, so nothing can be an outcome of it. */
export function outcomeSheetOf(facts: SheetFacts): OutcomeSheet | undefined {
  if (facts.pocket === undefined) return undefined;
  return {
    sheet: facts.sheet,
    key: facts.pocket.key,
    version: facts.release.slice(facts.release.lastIndexOf('@') + 1),
    units: facts.units.map(({ serial }) => serial),
    patterns: facts.pocket.patterns,
  };
}
