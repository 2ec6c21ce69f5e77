// As mutated-fat.long.test.ts, over cards with a partition table, MBR and GPT, which is damaged as well; half of the damage
// to GPT has right check sums.

import { expect, test } from 'vitest';
import { mutationBases } from '../support/mutate-volume.ts';
import { mutationParts, runMutations } from '../support/mutation-run.ts';

test.each(mutationParts(375_000))('$count damaged cards from seed $seed', async ({ seed, count }) => {
  const bases = mutationBases().filter(({ recipe }) => recipe.table !== 'none');
  const run = await runMutations(bases, seed, count, 1_000);
  expect(run.cases).toBe(count);
  expect(run.judgedByMtools).toBe(Math.min(run.ready, 1_000));
  if (count < 25_000) return;
  const reached = [
    'gpt-copy-differs',
    'partition-table-not-allowed',
    'partition-beyond-card',
    'several-partitions',
  ];
  expect(reached.filter((code) => run.codesBehindSeal[code] === undefined)).toEqual([]);
});
