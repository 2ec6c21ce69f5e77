// The order of versions against a judge that counts with whole numbers of any size.

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { admits, compareVersions } from '../../src/manifest/versions.ts';

const digits = fc.stringMatching(/^[0-9]{1,24}$/);
const dotted = fc.array(digits, { minLength: 1, maxLength: 2 }).map((parts) => parts.join('.'));

function judged(a: string, b: string): number {
  const [left, right] = [a, b].map((text) => text.split('.').map(BigInt)) as [bigint[], bigint[]];
  for (let i = 0; i < Math.max(left.length, right.length); i++) {
    const [x, y] = [left[i] ?? 0n, right[i] ?? 0n];
    if (x !== y) return x < y ? -1 : 1;
  }
  return 0;
}

it('agrees with whole numbers part by part', () => {
  fc.assert(
    fc.property(dotted, dotted, (a, b) => Math.sign(compareVersions('dotted', a, b)) === judged(a, b)),
  );
});

it('is an order', () => {
  fc.assert(
    fc.property(
      fc.array(fc.oneof(dotted, fc.constantFrom('1', '1.0', '01', 'x', '')), { minLength: 3, maxLength: 3 }),
      (three) => {
        const sorted = [...three].sort((a, b) => compareVersions('dotted', a, b)) as [string, string, string];
        return (
          compareVersions('dotted', sorted[0], sorted[2]) <= 0 &&
          compareVersions('dotted', sorted[2], sorted[0]) >= 0
        );
      },
    ),
  );
});

it('admits exactly what lies between the ends', () => {
  fc.assert(
    fc.property(dotted, dotted, dotted, (atLeast, below, version) => {
      const within = judged(version, atLeast) >= 0 && judged(version, below) < 0;
      return admits('dotted', { kind: 'range', atLeast, below }, version) === within;
    }),
  );
});

it('the judge tells planted damage', () => {
  expect(judged('1.9', '1.10')).toBe(-1);
  expect(judged('1.10', '1.9')).toBe(1);
});
