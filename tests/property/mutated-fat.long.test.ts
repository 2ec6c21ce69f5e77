// The same as in mutated-volumes.test.ts, over many more cards without a table and from another place each time; mtools
// judges cards that are called ready. With mutated-tables and mutated-exfat a million damaged cards. In parts, each with a
// limit of its own: the whole is no measure of speed.

import { expect, test } from 'vitest';
import { mutationBases } from '../support/mutate-volume.ts';
import { mutationParts, runMutations } from '../support/mutation-run.ts';

test.each(mutationParts(375_000))('$count damaged volumes from seed $seed', async ({ seed, count }) => {
  const bases = mutationBases().filter(({ recipe }) => recipe.table === 'none');
  const run = await runMutations(bases, seed, count, 1_000);
  expect(run.cases).toBe(count);
  expect(run.judgedByMtools).toBe(Math.min(run.ready, 1_000));
});
