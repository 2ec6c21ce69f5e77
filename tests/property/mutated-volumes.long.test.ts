// The same as in mutated-volumes.test.ts, over many more cards and from another place each time; mtools judges every
// card that is called ready.

import { expect, test } from 'vitest';
import { mutationBases } from '../support/mutate-volume.ts';
import { runMutations } from '../support/mutation-run.ts';

const first = Number(process.env.MUTATE_SEED ?? Math.floor(Math.random() * 1e9));
const cases = Number(process.env.MUTATE_COUNT ?? 300_000);

test(`${cases} damaged cards from seed ${first}`, async () => {
  const run = await runMutations(mutationBases(), first, cases, 20_000);
  expect(run.cases).toBe(cases);
  expect(run.judgedByMtools).toBeGreaterThan(Math.min(run.ready, 20_000) - 1);
});
