// The same comparison as in check-gaps.test.ts, over many more procedures and from another place each time.

import { expect, test } from 'vitest';
import { soundCorpus } from '../unit/procedure/gap-corpus.ts';
import { compareWithJudge } from '../unit/procedure/judge-agrees.ts';
import { randomlyChanged, randomProduct } from '../unit/procedure/random-product.ts';

const first = Number(process.env.GAPS_SEED ?? Math.floor(Math.random() * 1e9));

test(`20,000 random procedures and 10,000 changed ones from seed ${first}`, () => {
  let judged = 0;
  for (let seed = first; seed < first + 20_000; seed += 1) {
    if (compareWithJudge(randomProduct(seed), seed) !== undefined) judged += 1;
  }
  for (let seed = first; seed < first + 10_000; seed += 1) {
    const { product } = soundCorpus[seed % soundCorpus.length]!;
    if (compareWithJudge(randomlyChanged(product, seed), seed) !== undefined) judged += 1;
  }
  expect(judged).toBeGreaterThan(27_000);
});
