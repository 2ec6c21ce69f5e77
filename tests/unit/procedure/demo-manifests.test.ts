// The demo maker's products: no gaps, times that can be planned with, lights that a person can tell apart.

import { describe, expect, test } from 'vitest';
import { checkGaps } from '../../../src/procedure/check-gaps.ts';
import { demoProducts } from './demo-products.ts';

test('there are three', () => {
  expect(demoProducts.length).toBeGreaterThanOrEqual(3);
});

describe.each(demoProducts.map((product) => ({ id: product.id, product })))('$id', ({ product }) => {
  const result = checkGaps(product);

  test('nothing is found, not even a warning', () => {
    expect(result.findings).toEqual([]);
    expect(result).toMatchObject({ sound: true, complete: true });
  });

  test('an updated and a failed end, each with a longest time', () => {
    const ends = result.times.ends.map(({ end }) => end);
    expect(ends).toContain('updated');
    expect(ends).toContain('failed');
    expect(result.times.longest?.minutes).toBeGreaterThan(10);
    expect(result.times.longest?.minutes).toBeLessThan(240);
  });
});
