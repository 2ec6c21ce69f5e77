// As mutated-fat.long.test.ts, over cards with a partition table, MBR and GPT, which is damaged as well; half of the damage
// to GPT has right check sums.

import { expect, test } from 'vitest';
import { mutationBases } from '../support/mutate-volume.ts';
import { mutationParts, runMutations } from '../support/mutation-run.ts';

const reached = new Set<string>();
let cases = 0;

test.each(mutationParts(375_000))('$count damaged cards from seed $seed', async ({ seed, count }) => {
  const bases = mutationBases().filter(({ recipe }) => recipe.table !== 'none');
  const run = await runMutations(bases, seed, count, 1_000);
  expect(run.cases).toBe(count);
  expect(run.judgedByMtools).toBe(Math.min(run.ready, 1_000));
  cases += count;
  for (const code of Object.keys(run.codesBehindSeal)) reached.add(code);
});

// Of all parts together: some of these are seen in a few of 25,000 cases only.
test('damage with right check sums is told by each of the codes that it can lead to', ({ skip }) => {
  if (cases < 100_000) skip();
  const wanted = [
    'gpt-copy-differs',
    'partition-table-not-allowed',
    'partition-beyond-card',
    'several-partitions',
  ];
  expect(wanted.filter((code) => !reached.has(code))).toEqual([]);
});
