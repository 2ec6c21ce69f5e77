// A pocket page of the pump drive, for the tests of what it is made of.

import { languages } from '../../../../src/sheet/language.ts';
import type { OutcomeSheet } from '../../../../src/sheet/outcome/outcome.ts';
import { type PocketData, pocketData } from '../../../../src/sheet/pocket/pocket-data.ts';
import { pocketWords } from '../../../../src/sheet/pocket/pocket-words.ts';
import type { SheetInput } from '../../../../src/sheet/sheet-view.ts';
import { pump, releaseOf, unitOf, viewOf } from '../sheet-fixture.ts';

export const words = pocketWords(languages.en);
export const serial = 'TRB12345674';
export const utc = { offsetMinutes: () => 0 };

export function dataOf(changes: Partial<SheetInput> = {}): PocketData {
  const product = changes.product ?? pump();
  const release = changes.release ?? releaseOf();
  const units = changes.units ?? [unitOf(serial)];
  const view = viewOf({ ...changes, product, release, units });
  const outcomes: OutcomeSheet = {
    sheet: view.number,
    key: 'ab'.repeat(32),
    version: release.version,
    units: units.map((unit) => unit.serial),
    patterns: product.patterns.map(({ id }) => id),
  };
  return pocketData(view, { product, release }, outcomes);
}
