// What is said of a procedure without gaps, for the pump drive of these tests.

import { expect, test } from 'vitest';
import { checkGaps } from '../../../src/procedure/check-gaps.ts';
import { gapSummary } from '../../../src/procedure/gap-summary.ts';
import { productOf, pumpSteps } from './written-product.ts';

test('states, times, every end with what it leaves, and what it is not', () => {
  const lines = gapSummary(checkGaps(productOf({ procedure: pumpSteps() })));
  expect(lines[0]).toBe('41 combinations of step, positions and tries looked at.');
  expect(lines).toContain(
    'Shortest way: 17 minutes, 5 steps, to `not-begun`. Longest way: 87 minutes, 19 steps, to `ended-badly`.',
  );
  expect(lines).toContain('To `updated`: 33 to 85 minutes.');
  expect(lines).toContain('To `deferred`: 17 minutes.');
  expect(lines).toContain('May take longer by the plate: `discharge`.');
  expect(lines).toContain('`finished` ends as updated and leaves everything as a finished unit stands.');
  expect(lines).toContain(
    '`ended-busy` ends as failed and leaves the array isolated, the supply on, the flap open, the card in.',
  );
  expect(lines[lines.length - 1]).toBe('This was checked for gaps; not a safety approval.');
});
