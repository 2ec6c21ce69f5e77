// Judge: the distribution of the sum by direct convolution of the weekly one, week after week, its terms from
// factorials and the gamma function's recurrence rather than from logarithms.

import { describe, expect, it } from 'vitest';
import { forecastWeeks } from '../../../src/fleet/forecast.ts';

/** P(k successes in one week), k = 0..limit. */
function weeklyTerms(mean: number, variance: number, limit: number): number[] {
  const terms: number[] = [];
  for (let k = 0; k <= limit; k++) {
    if (variance > mean) {
      const size = mean ** 2 / (variance - mean);
      const p = size / (size + mean);
      let term = p ** size;
      for (let i = 0; i < k; i++) term *= ((size + i) / (i + 1)) * (1 - p);
      terms.push(term);
    } else {
      let term = Math.exp(-mean);
      for (let i = 1; i <= k; i++) term *= mean / i;
      terms.push(term);
    }
  }
  return terms;
}

/** Convolved until the chance of `rest` or more is reached. */
function judge(rest: number, chance: number, mean: number, variance: number): number {
  const week = weeklyTerms(mean, variance, rest);
  let sum = [1];
  for (let weeks = 1; weeks < 600; weeks++) {
    const next = Array<number>(rest).fill(0);
    for (let a = 0; a < rest; a++)
      for (let b = 0; a + b < rest; b++) next[a + b]! += (sum[a] ?? 0) * week[b]!;
    sum = next;
    if (1 - sum.reduce((x, y) => x + y, 0) >= chance) return weeks;
  }
  return Number.POSITIVE_INFINITY;
}

function momentsOf(weekly: readonly number[]): [number, number] {
  const mean = weekly.reduce((a, b) => a + b) / weekly.length;
  return [mean, weekly.map((x) => (x - mean) * (x - mean)).reduce((a, b) => a + b) / (weekly.length - 1)];
}

const histories = [
  [4, 4, 4, 4],
  [3, 5, 4, 4, 4],
  [0, 12, 1, 0, 7],
  [1, 0, 0, 0, 2, 0],
  [20, 3, 9, 30, 1],
  [2, 3, 1],
];

describe('forecastWeeks', () => {
  it.each(histories.map((weekly) => [weekly]))('agrees with convolution for %j', (weekly) => {
    const [mean, variance] = momentsOf(weekly);
    for (const rest of [1, 2, 7, 25, 60]) {
      const expected = { p50: judge(rest, 0.5, mean, variance), p90: judge(rest, 0.9, mean, variance) };
      expect(forecastWeeks(rest, weekly), `${rest} left`).toEqual(expected);
    }
  });

  it('is judged by one that tells a Poisson from what scatters more', () => {
    const [mean, variance] = momentsOf([0, 12, 1, 0, 7]);
    expect(judge(25, 0.9, mean, mean)).not.toBe(judge(25, 0.9, mean, variance));
  });

  it('one unit left at four a week: done in the first week with either chance', () => {
    expect(forecastWeeks(1, [4, 4, 4])).toEqual({ p50: 1, p90: 1 });
  });

  it('says nothing where nothing can be said', () => {
    expect(forecastWeeks(10, [])).toBeNull();
    expect(forecastWeeks(10, [5, 5])).toBeNull();
    expect(forecastWeeks(10, [0, 0, 0, 0])).toBeNull();
    expect(forecastWeeks(5000, [1, 0, 0, 0])).toBeNull();
    expect(forecastWeeks(0, [])).toEqual({ p50: 0, p90: 0 });
  });

  it('holds for thousands of units, where plain terms would be too small to count', () => {
    const weekly = [40, 55, 38, 61, 47, 52];
    const { p50, p90 } = forecastWeeks(6000, weekly)!;
    // Mean 48.83 a week: 122.9 weeks; by the normal approximation 90 % needs about one week more.
    expect(p50).toBeGreaterThanOrEqual(122);
    expect(p50).toBeLessThanOrEqual(124);
    expect(p90).toBeGreaterThan(p50);
    expect(p90).toBeLessThanOrEqual(127);
  });
});
