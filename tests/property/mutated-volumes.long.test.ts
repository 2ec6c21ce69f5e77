// The same as in mutated-volumes.test.ts, over many more cards and from another place each time; mtools judges every
// card that is called ready. In parts, each with a limit of its own: the whole is no measure of speed.

import { expect, test } from 'vitest';
import { mutationBases } from '../support/mutate-volume.ts';
import { runMutations } from '../support/mutation-run.ts';

const first = Number(process.env.MUTATE_SEED ?? Math.floor(Math.random() * 1e9));
const cases = Number(process.env.MUTATE_COUNT ?? 200_000);
const partCases = 30_000;
const parts = Array.from({ length: Math.ceil(cases / partCases) }, (_, part) => ({
  seed: first + part * partCases,
  count: Math.min(partCases, cases - part * partCases),
}));

test.each(parts)('$count damaged cards from seed $seed', async ({ seed, count }) => {
  const run = await runMutations(mutationBases(), seed, count, 2_000);
  expect(run.cases).toBe(count);
  expect(run.judgedByMtools).toBeGreaterThan(Math.min(run.ready, 2_000) - 1);
});
