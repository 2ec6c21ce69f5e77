import { expect, test } from 'vitest';
import { beside, columns, nothing, type Slab, stack } from '../../../../src/sheet/pdf/slab.ts';

/** A slab that marks its top left corner. */
const slab = (heightPt: number): Slab => ({
  heightPt,
  inkAt: (xPt, yPt) => [{ kind: 'box', xPt, yPt, widthPt: 1, heightPt, fill: null, strokePt: 0 }],
});
const corners = (made: Slab) => made.inkAt(0, 0).map((ink) => (ink.kind === 'box' ? [ink.xPt, ink.yPt] : []));

test('below each other, nothing between what is not there', () => {
  const made = stack([slab(10), nothing, slab(5)], 2);
  expect(made.heightPt).toBe(17);
  expect(corners(made)).toEqual([
    [0, 0],
    [0, 12],
  ]);
});

test('beside each other, as high as the highest', () => {
  const made = beside([
    { leftPt: 0, slab: slab(10) },
    { leftPt: 30, slab: slab(25) },
  ]);
  expect(made.heightPt).toBe(25);
  expect(corners(made)).toEqual([
    [0, 0],
    [30, 0],
  ]);
});

test('dealt out to columns in their order, as low as can be: every deal tried', () => {
  const cases = [[10], [10, 10], [30, 10, 10, 10], [5, 40, 5, 5, 5], [7, 3, 9, 1, 12, 4, 4], [50, 1, 1, 1]];
  for (const heights of cases) {
    const made = columns(heights.map(slab), [20, 20], 5, 2);
    const total = (part: number[]) =>
      part.reduce((sum, one) => sum + one, 0) + 2 * Math.max(0, part.length - 1);
    const best = Math.min(
      ...heights.map((_, at) => Math.max(total(heights.slice(0, at + 1)), total(heights.slice(at + 1)))),
    );
    expect(made.heightPt, String(heights)).toBeCloseTo(best, 0);
    const seen = corners(made);
    expect(seen).toHaveLength(heights.length);
    // First column first, downwards; then the second.
    const order = [...seen].sort(([ax = 0, ay = 0], [bx = 0, by = 0]) => ax - bx || ay - by);
    expect(seen).toEqual(order);
    expect(new Set(seen.map(([x]) => x)).size).toBeLessThanOrEqual(2);
  }
});
