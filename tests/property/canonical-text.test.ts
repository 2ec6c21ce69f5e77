// The quick way to canonical texts gives what the published library of RFC 8785 gives, over names that are numbers,
// accents, halves of characters and every kind of number.
import canonicalize from 'canonicalize';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { canonicalText } from '../../src/record/canonical-text.ts';

const name = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 4 }),
  fc.constantFrom('0', '10', '9', '-1', '01', '__proto__', 'toJSON', 'é', '\u{1f600}', '\uffff', ''),
);
const value = fc.letrec((tie) => ({
  value: fc.oneof(
    { depthSize: 'small' },
    fc.double({ noNaN: true, noDefaultInfinity: true }),
    fc.integer(),
    fc.string({ unit: 'binary', maxLength: 8 }),
    fc.constantFrom(null, true, false, -0, '\u2028', '\\ud800', '"'),
    fc.array(tie('value'), { maxLength: 4 }),
    fc.dictionary(name, tie('value'), { maxKeys: 6 }),
  ),
})).value;

test('as the library writes it', () => {
  let quick = 0;
  const seed = Number(process.env.SLOTPROOF_SEED ?? Date.now() % 1_000_000);
  console.log(`SLOTPROOF_SEED=${seed} npx vitest run tests/property/canonical-text.test.ts`);
  fc.assert(
    fc.property(value, (one) => {
      const text = canonicalText(one);
      expect(text).toBe(canonicalize(one));
      if (text.length > 20) quick += 1;
    }),
    { seed, numRuns: 3000 },
  );
  expect(quick).toBeGreaterThan(300);
});
