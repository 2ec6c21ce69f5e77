// The test of a card's capacity, on cards that lie in every way and on honest ones: what is said of each, how near the
// estimate comes, and that what does not belong to the free space is never written to. With other keys: test-card.long.test.ts.

import { describe, expect, test } from 'vitest';
import { keyedStream } from '../../../src/bytes/keyed-stream.ts';
import { drawsFor, planCapacity } from '../../../src/card/capacity/capacity-plan.ts';
import { FreeSpace } from '../../../src/card/capacity/free-space.ts';
import { type TestOutcome, type TestPoint, testCard } from '../../../src/transfer/test-card.ts';
import {
  guarded,
  testKey as key,
  lies,
  runTest as run,
  sampled,
  capacityBytes as size,
  space,
} from '../../support/capacity-run.ts';
import { fakeCards } from '../../support/fake-cards.ts';
import { seededNumbers } from '../../support/faulty-blocks.ts';

const MiB = 2 ** 20;
const half = 64 * MiB;

describe('an honest card', () => {
  test('holds what it claims', () => {
    const outcome = run(guarded(fakeCards.honest(size)));
    expect(outcome).toMatchObject({ verdict: 'holds', realBytes: size, how: null, bad: [] });
    expect(outcome.plan.testedBytes).toBeLessThan(space.sizeBytes * 0.6);
  });

  test('in full: every free byte is written once and read', () => {
    const blocks = fakeCards.honest(size);
    const outcome = run(guarded(blocks), 4, { goal: { ...sampled, full: true } });
    expect(outcome.verdict).toBe('holds');
    expect(blocks.written()).toBeGreaterThanOrEqual(space.sizeBytes);
    const stream = keyedStream(key(4));
    const expected = new Uint8Array(4096);
    for (const offset of [3 * MiB, 52 * MiB, 60 * MiB + 4096, size - 4096]) {
      stream.fill(offset, expected);
      expect(Buffer.compare(blocks.unitAt(offset), expected)).toBe(0);
    }
  });
});

describe('a card that', () => {
  test.each(lies)('%s', (_, make, how, near) => {
    const { verdict, how: seen, realBytes } = run(guarded(make()), 1);
    expect([verdict, seen]).toEqual(['false-capacity', how]);
    expect(near(realBytes ?? -1), `${realBytes}`).toBe(true);
  });

  test('begins again: what its files hold is there afterwards', () => {
    const blocks = fakeCards.wraps(size, half);
    const file = new Uint8Array(7 * MiB).map((_, i) => i >> 7);
    blocks.write(53 * MiB, file);
    expect(run(guarded(blocks), 5).verdict).toBe('false-capacity');
    const after = new Uint8Array(file.length);
    blocks.read(53 * MiB, after);
    expect(Buffer.compare(after, file)).toBe(0);
  });

  test('loses a twentieth somewhere, and answers single units from its memory', () => {
    // Few stretches are long: it is the single units that find it, once they are no longer held back.
    const large = 512 * MiB;
    const free = new FreeSpace([{ offsetBytes: 3 * MiB, lengthBytes: large - 3 * MiB }]);
    for (let seed = 1; seed <= 2; seed++) {
      const from = (60 + seed * 60) * MiB;
      const blocks = fakeCards.losesPartBehindCache(large, from, from + 26 * MiB, 8 * MiB);
      const outcome = run(blocks, seed, { space: free });
      expect(outcome.verdict, `seed ${seed}`).not.toBe('holds');
    }
  });

  test('loses a part, answered from its memory, is found in full wherever the part lies', () => {
    const goal = { ...sampled, full: true };
    for (let from = 4; from < 120; from += 32) {
      const blocks = fakeCards.losesPartBehindCache(size, from * MiB, from * MiB + 65_536, 8 * MiB);
      expect(run(guarded(blocks), from, { goal }).verdict, `at ${from} MiB`).toBe('failing');
    }
  });

  test('begins again where its files are: found, and the files are there afterwards', () => {
    const large = 128 * MiB;
    const taken = 60 * MiB;
    // All that is free lies beyond what it holds, but for a little.
    const free = new FreeSpace([{ offsetBytes: taken, lengthBytes: large - taken }]);
    for (const full of [false, true]) {
      const blocks = fakeCards.wraps(large, taken + 6 * MiB);
      const file = new Uint8Array(taken).map((_, i) => i >> 9);
      blocks.write(0, file);
      const outcome = run(blocks, 3, { space: free, goal: { ...sampled, full } });
      expect(outcome).toMatchObject({ verdict: 'false-capacity', how: 'begins-again' });
      expect(outcome.realBytes).toBe(taken + 6 * MiB);
      const after = new Uint8Array(taken);
      blocks.read(0, after);
      expect(Buffer.compare(after, file)).toBe(0);
    }
  });

  test.each([
    ['has a wrong bit here and there', () => fakeCards.flips(size, 200, 9)],
    ['wears out', () => fakeCards.wearsOut(size, 20 * MiB)],
  ])('%s fails', (_, make) => {
    const outcome = run(guarded(make()), 1);
    expect(outcome.verdict).not.toBe('holds');
    expect(outcome.bad.length).toBeGreaterThan(0);
  });

  test('fails says no size', () => {
    expect(run(guarded(fakeCards.flips(size, 200, 9)))).toMatchObject({
      verdict: 'failing',
      realBytes: null,
    });
  });
});

describe('stopped', () => {
  test('at any moment, what stood under single units is put back', () => {
    const before = new Uint8Array(4096).fill(7);
    for (let stop = 1; stop < 420; stop += 29) {
      const blocks = fakeCards.honest(size);
      const stream = keyedStream(key(1));
      const { probes, low } = planCapacity(space, sampled, stream.draws());
      for (const { offsetBytes } of probes) blocks.write(offsetBytes, before);
      const lowPieces = low.reduce((sum, { lengthBytes }) => sum + Math.ceil(lengthBytes / MiB), 0);
      const steps = testCard({ blocks, space, goal: sampled, stream, now: () => 0 });
      for (let i = 0; i < Math.min(lowPieces + stop, 2 * (lowPieces + probes.length)); i++) steps.next();
      steps.return(undefined as never);
      for (const { offsetBytes } of probes)
        expect(Buffer.compare(blocks.unitAt(offsetBytes), before), `${stop}: ${offsetBytes}`).toBe(0);
    }
  });

  test('in the long part, it goes on from there with the same key, and finds the same', () => {
    const goal = { ...sampled, full: true };
    for (const verdict of ['holds', 'failing']) {
      // A few units between two that are looked at one by one: only the long part finds them.
      const blocks =
        verdict === 'holds'
          ? fakeCards.honest(size)
          : fakeCards.losesPart(size, 100 * MiB, 100 * MiB + 16_384);
      let point: TestPoint | undefined;
      let outcome: TestOutcome | undefined;
      let breaks = 0;
      for (; outcome === undefined && breaks < 100; breaks++) {
        const stream = keyedStream(key(6));
        const steps = testCard({ blocks: guarded(blocks), space, goal, stream, now: () => 0, resume: point });
        const most = point === undefined ? 400 : 75;
        for (let i = 0; i < most; i++) {
          const step = steps.next();
          if (step.done) {
            outcome = step.value;
            break;
          }
          point = step.value.point;
        }
        steps.return(undefined as never);
      }
      expect(outcome?.verdict).toBe(verdict);
      expect(breaks).toBeGreaterThan(2);
      if (verdict === 'failing') expect(outcome?.firstBad).toBe(100 * MiB);
    }
  });
});

describe('the odds', () => {
  test.each([
    [0.95, 0.5, 5],
    [0.95, 0.25, 11],
    [0.95, 0.1, 29],
    [0.95, 0.05, 59],
    [0.95, 0.01, 299],
    [0.99, 0.5, 7],
    [0.99, 0.01, 459],
    [0.999, 0.05, 135],
  ])('of %f for a share of %f take %i draws', (confidence, share, draws) => {
    expect(drawsFor(confidence, share)).toBe(draws);
  });

  test('100,000 cards that lose a twentieth somewhere: fewer than one in a thousand are missed', () => {
    const random = seededNumbers(20_261_124);
    let missed = 0;
    let cards = 0;
    const pieces = 20;
    while (cards < 100_000) {
      const { probes } = planCapacity(space, sampled, random);
      const drawn = probes
        .filter((probe) => probe.drawn)
        .map(({ offsetBytes }) => space.freeBefore(offsetBytes) / space.sizeBytes);
      for (let i = 0; i < 500; i++, cards++) {
        // A twentieth of all, in twenty pieces at places of their own.
        const bad = Array.from({ length: pieces }, () => random() * (1 - 0.05 / pieces));
        const hit = drawn.some((at) => bad.some((from) => at >= from && at < from + 0.05 / pieces));
        if (!hit) missed++;
      }
    }
    // Pieces may fall into the low end, which is read whole, or onto each other: a little more than by the formula.
    expect(missed).toBeLessThan(cards / 1000);
    expect(missed).toBeGreaterThanOrEqual(0);
  });
});
