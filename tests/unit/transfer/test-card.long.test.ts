// Cards that lie in every way and honest ones, with many keys: other places are looked at with each.

import { expect, test } from 'vitest';
import { FreeSpace } from '../../../src/card/capacity/free-space.ts';
import { capacityBytes, guarded, lies, runTest, space } from '../../support/capacity-run.ts';
import { fakeCards } from '../../support/fake-cards.ts';

const MiB = 2 ** 20;
const seeds = Array.from({ length: 8 }, (_, i) => i + 1);

test.each(seeds)('an honest card holds what it claims; key %i', (seed) => {
  const outcome = runTest(guarded(fakeCards.honest(capacityBytes)), seed);
  expect(outcome).toMatchObject({ verdict: 'holds', realBytes: capacityBytes, how: null, bad: [] });
  expect(outcome.plan.testedBytes).toBeLessThan(space.sizeBytes * 0.6);
});

test.each(lies)('a card that %s', (_, make, how, near) => {
  for (const seed of seeds) {
    const { verdict, how: seen, realBytes } = runTest(guarded(make()), seed);
    expect([verdict, seen], `seed ${seed}`).toEqual(['false-capacity', how]);
    expect(near(realBytes ?? -1), `seed ${seed}: ${realBytes}`).toBe(true);
  }
});

test.each(seeds)(
  'a card that loses a twentieth somewhere, and answers single units from its memory; key %i',
  (seed) => {
    const large = 512 * MiB;
    const free = new FreeSpace([{ offsetBytes: 3 * MiB, lengthBytes: large - 3 * MiB }]);
    const from = (30 + seed * 50) * MiB;
    const blocks = fakeCards.losesPartBehindCache(large, from, from + 26 * MiB, 8 * MiB);
    expect(runTest(blocks, seed, { space: free }).verdict).not.toBe('holds');
  },
);
