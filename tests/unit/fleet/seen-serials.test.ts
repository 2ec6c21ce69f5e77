// The judge is a plain Map.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { SeenSerials } from '../../../src/fleet/seen-serials.ts';
import { checkSeeded } from '../../support/seeded.ts';

test('says of every serial what a map says', async () => {
  const serials = fc.oneof(
    fc.string({ unit: 'binary', maxLength: 4 }),
    fc.integer({ max: 3000 }).map(String),
  );
  await checkSeeded(
    'tests/unit/fleet/seen-serials.test.ts',
    60,
    fc.property(fc.array(serials, { minLength: 1, maxLength: 1500, size: 'max' }), fc.nat(), (list, seed) => {
      const seen = new SeenSerials(seed);
      const map = new Map<string, number>();
      for (const [line, serial] of list.entries()) {
        expect(seen.firstLine(serial, line)).toBe(map.get(serial));
        if (!map.has(serial)) map.set(serial, line);
      }
    }),
  );
});

test('a hundred thousand that count upwards, and each of them again', () => {
  const seen = new SeenSerials(7);
  const serialOf = (number: number) => `TRB${String(number).padStart(8, '0')}`;
  for (let i = 0; i < 100_000; i++) if (seen.firstLine(serialOf(i), i) !== undefined) expect.fail(String(i));
  for (let i = 0; i < 100_000; i++) if (seen.firstLine(serialOf(i), 0) !== i) expect.fail(String(i));
});
