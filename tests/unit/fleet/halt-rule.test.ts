// Judges: the numbers that follow from Wald's formulas for 1 %, 5 %, .05 and .10 (worked out beforehand), the
// likelihood ratio itself computed another way, and the error rates that the test promises, by simulation.

import { describe, expect, it } from 'vitest';
import { type HaltVerdict, judgeRelease } from '../../../src/fleet/halt-rule.ts';

const clean = (count: number) => Array<boolean>(count).fill(false);
/** `count` failures, the last of them at the n-th try, the others at the beginning. */
const failing = (count: number, at: number) => [
  ...Array<boolean>(count - 1).fill(true),
  ...clean(at - count),
  true,
];

/** The likelihood ratio of 5 % against 1 %, multiplied up: halt at 18 = .90/.05 or more, clear at .10/.95 or less. */
function judge(failures: readonly boolean[]): HaltVerdict {
  let ratio = 1;
  for (const failure of failures) {
    ratio *= failure ? 5 : 95 / 99;
    if (ratio >= 18 * (1 - 1e-12)) return 'halt';
  }
  return ratio <= (2 / 19) * (1 + 1e-12) ? 'no-alarm' : 'go-on';
}

function generator(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

describe('the numbers', () => {
  it.each([
    [2, 9],
    [3, 49],
    [4, 90],
  ])('halts at failure %i by the %i-th try, and not one try later', (count, last) => {
    // The earlier failures come right before, so that none of them halts by itself.
    const late = (at: number) => [...clean(at - count), ...Array<boolean>(count).fill(true)];
    expect(judgeRelease(late(last)).rule).toBe('halt');
    expect(judgeRelease(late(last + 1)).rule).not.toBe('halt');
    expect(judgeRelease(failing(2, 9))).toEqual({ tried: 9, failed: 2, rule: 'halt', haltedAfter: 9 });
  });

  it('clears with no failure in 55, not in 54, and says nothing at the beginning', () => {
    expect(judgeRelease(clean(54)).rule).toBe('go-on');
    expect(judgeRelease(clean(55))).toEqual({ tried: 55, failed: 0, rule: 'no-alarm', haltedAfter: null });
    expect(judgeRelease([])).toEqual({ tried: 0, failed: 0, rule: 'go-on', haltedAfter: null });
    expect(judgeRelease([true]).rule).toBe('go-on');
  });

  it('takes no halt back, however well it goes on', () => {
    expect(judgeRelease([true, true, ...clean(5000)])).toMatchObject({ rule: 'halt', haltedAfter: 2 });
  });

  it('still halts after it has cleared', () => {
    expect(judgeRelease([...clean(60), ...Array<boolean>(4).fill(true)]).rule).toBe('halt');
    expect(judgeRelease([...clean(60), true]).rule).toBe('go-on');
  });
});

describe('against the likelihood ratio', () => {
  it('agrees on every order of up to 13 outcomes', () => {
    for (let length = 0; length <= 13; length++)
      for (let bits = 0; bits < 2 ** length; bits++) {
        const failures = Array.from({ length }, (_, i) => ((bits >> i) & 1) === 1);
        expect(judgeRelease(failures).rule, failures.join()).toBe(judge(failures));
      }
  });

  it('agrees on long random runs, and the runs reach all three verdicts', () => {
    const seed = 20261124;
    const random = generator(seed);
    const seen = new Set<string>();
    for (let run = 0; run < 3000; run++) {
      const rate = random() * 0.08;
      const failures = Array.from({ length: Math.floor(random() * 400) }, () => random() < rate);
      const { rule, tried, failed } = judgeRelease(failures);
      expect(rule, `seed ${seed}, run ${run}`).toBe(judge(failures));
      expect([tried, failed]).toEqual([failures.length, failures.filter(Boolean).length]);
      seen.add(rule);
    }
    expect(seen).toEqual(new Set(['halt', 'go-on', 'no-alarm']));
  });
});

describe('what the test promises', () => {
  /** Share of `runs` that the first decision halts, and share that ever halts within `length`. */
  function simulate(rate: number, runs: number, length: number) {
    const random = generator(7);
    let halted = 0;
    let everHalted = 0;
    let cleared = 0;
    for (let run = 0; run < runs; run++) {
      const failures = Array.from({ length }, () => random() < rate);
      const { haltedAfter } = judgeRelease(failures);
      if (haltedAfter !== null) everHalted++;
      let firstClear = 0;
      for (let tried = 1; tried <= length && firstClear === 0; tried++)
        if (tried < (haltedAfter ?? length + 1) && judgeRelease(failures.slice(0, tried)).rule === 'no-alarm')
          firstClear = tried;
      if (firstClear > 0) cleared++;
      else if (haltedAfter !== null) halted++;
    }
    return { halted: halted / runs, everHalted: everHalted / runs, cleared: cleared / runs };
  }

  it('stops a good release in at most 5 of 100, clears a bad one in at most 10 of 100', () => {
    const good = simulate(0.01, 1500, 400);
    const bad = simulate(0.05, 1500, 400);
    // Three standard deviations of the simulation are about .017 and .023.
    expect(good.halted).toBeLessThan(0.05 + 0.017);
    expect(good.everHalted).toBeLessThan(0.05 / 0.9 + 0.018);
    expect(bad.cleared).toBeLessThan(0.1 + 0.023);
    expect(bad.halted).toBeGreaterThan(0.85);
  });
});
