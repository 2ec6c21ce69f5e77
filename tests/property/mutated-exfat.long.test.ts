// A quarter of a million exFAT cards with random damage, from another place each time. In parts, each with a limit of its
// own: the whole is no measure of speed.

import { expect, test } from 'vitest';
import { exfatBases, runExfatMutations } from '../support/exfat-mutation.ts';
import { mutationParts } from '../support/mutation-run.ts';

test.each(mutationParts(250_000))('$count damaged exFAT cards from seed $seed', async ({ seed, count }) => {
  const run = await runExfatMutations(exfatBases(), seed, count, 300);
  expect(run.cases).toBe(count);
  expect(run.judgedByFsck).toBe(Math.min(300, count));
});
