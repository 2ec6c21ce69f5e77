import fc from 'fast-check';
import { expect, test } from 'vitest';
import { decodeFields, decodeNumber, encodeFields, encodeNumber } from '../../../src/bytes/fields.ts';

test('little end first, from hand-worked bytes', () => {
  const bytes = Uint8Array.from([0xff, 0x78, 0x56, 0x34, 0x12, 0xef, 0xcd, 0xab, 0x00, 0x00]);
  expect(decodeNumber(bytes, 1, 1)).toBe(0x78);
  expect(decodeNumber(bytes, 1, 2)).toBe(0x5678);
  expect(decodeNumber(bytes, 1, 4)).toBe(0x12345678);
  expect(decodeNumber(bytes, 1, 8)).toBe(0x00abcdef12345678);
});

test('encode and decode are inverse, and touch no byte outside the field', () => {
  const width = fc.constantFrom(1, 2, 4, 8) as fc.Arbitrary<1 | 2 | 4 | 8>;
  fc.assert(
    fc.property(width, fc.nat(20), fc.maxSafeNat(), (fieldWidth, offset, seed) => {
      const value = fieldWidth === 8 ? seed : seed % 2 ** (8 * fieldWidth);
      const bytes = new Uint8Array(40).fill(0xa5);
      encodeNumber(bytes, offset, fieldWidth, value);
      expect(decodeNumber(bytes, offset, fieldWidth)).toBe(value);
      bytes.fill(0xa5, offset, offset + fieldWidth);
      expect(bytes).toEqual(new Uint8Array(40).fill(0xa5));
    }),
  );
});

test('a table encodes only what it is given', () => {
  const table = { first: { offset: 0, width: 2 }, second: { offset: 2, width: 4 } } as const;
  const bytes = new Uint8Array(8).fill(0x11);
  encodeFields(table, { second: 0xdeadbeef }, bytes, 1);
  expect([...bytes]).toEqual([0x11, 0x11, 0x11, 0xef, 0xbe, 0xad, 0xde, 0x11]);
  expect(decodeFields(table, bytes, 1)).toEqual({ first: 0x1111, second: 0xdeadbeef });
});
