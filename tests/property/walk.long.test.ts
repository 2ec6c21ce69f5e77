// The same as walk-stops and walk-resume, over many more random procedures.

import { expect, test } from 'vitest';
import { judgeResumes } from '../unit/procedure/walk/judge-resumes.ts';
import { judgeStops, noTally, soundProducts } from '../unit/procedure/walk/judge-stops.ts';

const first = Number(process.env.WALK_SEED ?? 10_000);

test('stops of 800 sound random procedures', () => {
  const tally = noTally();
  const products = soundProducts(first, 800);
  for (const { seed, written } of products)
    expect(judgeStops(written, tally), `WALK_SEED=${seed}`).toEqual([]);
  expect(products).toHaveLength(800);
  expect(tally.orders).toBeGreaterThan(tally.stops * 0.1);
});

test('resuming 150 sound random procedures', () => {
  for (const { seed, written } of soundProducts(first, 150)) {
    try {
      judgeResumes(written);
    } catch (error) {
      throw new Error(`WALK_SEED=${seed}`, { cause: error });
    }
  }
});
