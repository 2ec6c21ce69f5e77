// Short names against bytes worked out by hand and against the aliases and check sums that mtools writes.

import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  decodeLabel,
  decodeShortName,
  encodeShortName,
  isSoundShortName,
  shortNameChecksum,
} from '../../../../src/card/fat/short-name.ts';
import { makeCardBytes } from '../../../support/card-images.ts';
import { Plant } from '../../../support/plant.ts';

const raw = (text: string): Uint8Array => Uint8Array.from(Buffer.from(text, 'latin1'));

test.each([
  ['RILL40.FWU', 'RILL40  FWU'],
  ['A', 'A          '],
  ['ABCDEFGH.IJK', 'ABCDEFGHIJK'],
  ['READ-ME.T', 'READ-ME T  '],
  ["$%'-_@~`", "$%'-_@~`   "],
  ['!(){}^#&.!', '!(){}^#&!  '],
  ['Ü.Ä', '\x9a       \x8e  '],
  ['σA', '\x05A         '],
])('%s', (name, bytes) => {
  expect(decodeShortName(raw(bytes))).toBe(name);
  expect(encodeShortName(name)).toEqual(raw(bytes));
  expect(isSoundShortName(raw(bytes))).toBe(true);
});

test.each([
  'rill40.fwu',
  'Rill40.FWU',
  'ABCDEFGHI.FWU',
  'A.FWUX',
  '.FWU',
  'A.',
  'A.B.C',
  'A B',
  'A+B',
  'A=B',
  '',
  '\u0001',
  '日本',
])('%j is no plain short name', (name) => expect(encodeShortName(name)).toBeUndefined());

test.each([
  ' A         ',
  'A B        ',
  'A       B C',
  'a          ',
  'A.         ',
  'A\u0000         ',
  'A"         ',
  'A       /  ',
  'A\u007f         ',
])('the bytes %j are no name', (bytes) => expect(isSoundShortName(raw(bytes))).toBe(false));

test('case bits show parts in lower case', () => {
  const bytes = raw('RILL40  FWU');
  expect(decodeShortName(bytes, 0, 0x08)).toBe('rill40.FWU');
  expect(decodeShortName(bytes, 0, 0x10)).toBe('RILL40.fwu');
  expect(decodeShortName(bytes, 0, 0x18)).toBe('rill40.fwu');
});

test('a label uses all eleven bytes', () => {
  expect(decodeLabel(raw('MY OLD CARD'))).toBe('MY OLD CARD');
  expect(decodeLabel(raw('CARD       '))).toBe('CARD');
});

test('what decodes to a plain name encodes to the same bytes', () => {
  const letters = fc.constantFrom(...'ABCXYZ0189$%-_@~!#&');
  const part = (min: number, max: number) =>
    fc.array(letters, { minLength: min, maxLength: max }).map((some) => some.join(''));
  fc.assert(
    fc.property(part(1, 8), part(0, 3), (base, extension) => {
      const name = extension === '' ? base : `${base}.${extension}`;
      const bytes = encodeShortName(name)!;
      expect(decodeShortName(bytes)).toBe(name);
      expect(isSoundShortName(bytes)).toBe(true);
    }),
  );
});

test('the check sum is the one that mtools writes into long-name entries', () => {
  const files = ['A longer name.txt', 'another.longer.name', 'x y', 'rill40 (1).fwu'].map((path) => ({
    path,
    bytes: new Uint8Array(1),
  }));
  const bytes = makeCardBytes({ sizeBytes: 1 << 20, table: 'none', bits: 12, files });
  const { rootAt } = new Plant(bytes);
  let compared = 0;
  for (let at = rootAt; bytes[at] !== 0; at += 32) {
    if (bytes[at + 11] === 0x0f || bytes[at - 32 + 11] !== 0x0f) continue;
    expect(shortNameChecksum(bytes, at)).toBe(bytes[at - 32 + 13]);
    compared++;
  }
  expect(compared).toBe(4);
});

test('the check sum by hand: one letter turns right ten times', () => {
  // 'A' = 0x41 in front of ten zeros: each step rotates right by one; ten steps are two, 0x41 -> 0xA0 -> 0x50.
  const bytes = new Uint8Array(11);
  bytes[0] = 0x41;
  expect(shortNameChecksum(bytes)).toBe(0x50);
});
