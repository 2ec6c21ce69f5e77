import { expect, test } from 'vitest';
import { checkSheet } from '../../../src/sheet/check-sheet.ts';
import { languages } from '../../../src/sheet/language.ts';
import type { SheetInput } from '../../../src/sheet/sheet-view.ts';
import { pump, releaseOf, unitOf, viewOf } from './sheet-fixture.ts';

const told = (changes: Partial<SheetInput> = {}) => checkSheet(viewOf(changes), languages.en);
const codes = (changes: Partial<SheetInput> = {}) => told(changes).map(({ code }) => code);

test('a sheet in order: nothing', () => {
  expect(told({ dayEnds: 16 * 60 + 30 })).toEqual([]);
});

test('each thing that is not in order, and all are warnings', () => {
  expect(codes({ product: pump({ checkedBy: undefined }) })).toEqual(['not-second-checked']);
  expect(codes({ release: releaseOf({ issued: '2026-10-04' }) })).toEqual(['not-issued-yet']);
  expect(codes({ release: releaseOf({ issued: '2026-10-03' }) })).toEqual([]);
  expect(codes({ news: { day: '2026-09-25', daysOld: 8 } })).toEqual(['manifests-old']);
  expect(codes({ news: { day: '2026-09-26', daysOld: 7 } })).toEqual([]);
  expect(codes({ news: { day: null, daysOld: 0 } })).toEqual(['manifests-old']);
  expect(codes({ dayEnds: 60 })).toEqual(['day-too-short']);
  const [short] = told({ dayEnds: 4 * 60, units: [unitOf('A1'), unitOf('B2'), unitOf('C3')] });
  expect(short).toMatchObject({
    severity: 'warn',
    summary: 'Not all 3 units fit into a day that ends at 04:00.',
  });
});
