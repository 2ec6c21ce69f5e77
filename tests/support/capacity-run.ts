// The test of a card's capacity on cards that lie in every way, for the tests of both tiers: what it is asked to do, and
// what has to be said of each lie.

import { keyedStream } from '../../src/bytes/keyed-stream.ts';
import { FreeSpace } from '../../src/card/capacity/free-space.ts';
import type { Blocks } from '../../src/ports/blocks.ts';
import { type TestCardJob, type TestOutcome, testCard } from '../../src/transfer/test-card.ts';
import { fakeCards } from './fake-cards.ts';

const MiB = 2 ** 20;
export const capacityBytes = 128 * MiB;
export const sampled = { confidence: 0.999, fraud: 0.05, full: false };
export const testKey = (seed: number) => Uint8Array.from({ length: 16 }, (_, i) => seed * 31 + i);
/** A card of which a few MiB at the beginning are in use, and some in the middle. */
export const space = new FreeSpace([
  { offsetBytes: 3 * MiB, lengthBytes: 50 * MiB },
  { offsetBytes: 60 * MiB + 4096, lengthBytes: capacityBytes - 60 * MiB - 4096 },
]);

export function runTest(blocks: Blocks, seed = 1, more: Partial<TestCardJob> = {}): TestOutcome {
  const steps = testCard({
    blocks,
    space,
    goal: sampled,
    stream: keyedStream(testKey(seed)),
    now: () => 0,
    ...more,
  });
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}

/** Every write is checked against the free space. */
export function guarded(blocks: Blocks): Blocks {
  return {
    ...blocks,
    write(offsetBytes, source) {
      const inside = space.stretches.some(
        (one) =>
          offsetBytes >= one.offsetBytes && offsetBytes + source.length <= one.offsetBytes + one.lengthBytes,
      );
      if (!inside) throw new Error(`${source.length} bytes at ${offsetBytes} are not free`);
      blocks.write(offsetBytes, source);
    },
  };
}

const half = 64 * MiB;
export const lies: readonly [string, () => Blocks, TestOutcome['how'], (realBytes: number) => boolean][] = [
  [
    'begins again at half',
    () => fakeCards.wraps(capacityBytes, half),
    'begins-again',
    (real) => real === half,
  ],
  [
    'begins again at an odd place',
    () => fakeCards.wraps(capacityBytes, 37 * MiB + 12_288),
    'begins-again',
    (real) => real === 37 * MiB + 12_288,
  ],
  [
    'begins again shortly before its end',
    () => fakeCards.wraps(capacityBytes, 110 * MiB),
    'begins-again',
    (real) => real === 110 * MiB,
  ],
  [
    'begins again many times',
    () => fakeCards.wraps(capacityBytes, 5 * MiB + 8192),
    'begins-again',
    (real) => real === 5 * MiB + 8192,
  ],
  [
    'loses one half',
    () => fakeCards.drops(capacityBytes, half),
    'loses',
    (real) => Math.abs(real - half) <= 8192,
  ],
  [
    'loses the last twentieth',
    () => fakeCards.drops(capacityBytes, 121 * MiB),
    'loses',
    (real) => Math.abs(real - 121 * MiB) <= 8192,
  ],
  [
    'loses all but its first MiB',
    () => fakeCards.drops(capacityBytes, 4 * MiB),
    'loses',
    (real) => Math.abs(real - 4 * MiB) <= 8192,
  ],
  [
    'holds the first unit of each part',
    () => fakeCards.holdsFirstOfEach(capacityBytes, half),
    'loses',
    (real) => Math.abs(real - half) <= 8192,
  ],
  [
    'answers from a memory of 8 MiB',
    () => fakeCards.dropsBehindCache(capacityBytes, half, 8 * MiB),
    'loses',
    (real) => Math.abs(real - half) <= 8192,
  ],
  [
    'keeps the last 10 MiB',
    () => fakeCards.keepsLast(capacityBytes, 10 * MiB),
    'keeps-last',
    (real) => real <= 10 * MiB,
  ],
  ['repeats the last unit', () => fakeCards.repeatsLast(capacityBytes), 'keeps-last', (real) => real <= 8192],
];
