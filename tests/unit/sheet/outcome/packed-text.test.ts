// Short texts within a code: there and back, and no text in two forms.

import { expect, test } from 'vitest';
import {
  packText,
  serialCharacters,
  unpackText,
  versionCharacters,
} from '../../../../src/sheet/outcome/packed-text.ts';

test.each([
  ['4', versionCharacters, 2],
  ['2.4.11', versionCharacters, 6],
  ['TB8120001234', serialCharacters, 1 + 15],
  ['A'.repeat(21), serialCharacters, 1 + 26],
  ['A'.repeat(22), serialCharacters, 2 + 27],
  ['Z'.repeat(44), serialCharacters, 2 + 54],
])('%s', (text, characters, length) => {
  // ln 12 / ln 23 and ln 44 / ln 23 symbols a character, by hand.
  const packed = packText(text, characters);
  expect(packed).toHaveLength(length);
  expect(unpackText([9, 9, ...(packed ?? []), 7], 2, characters)).toEqual({ text, next: 2 + length });
});

test('too long, empty, or with a character of its own: no short form', () => {
  expect(packText('', serialCharacters)).toBeUndefined();
  expect(packText('A'.repeat(45), serialCharacters)).toBeUndefined();
  expect(packText('a', serialCharacters)).toBeUndefined();
});

test('symbols that no text packs to are none', () => {
  // Two characters of twelve are numbers up to 143; two symbols hold numbers up to 528.
  expect(packText('--', versionCharacters)).toEqual([2, 6, 5]);
  expect(unpackText([2, 6, 6], 0, versionCharacters)).toBeUndefined();
  expect(unpackText([2, 6], 0, versionCharacters)).toBeUndefined();
  expect(unpackText([0], 0, versionCharacters)).toBeUndefined();
  expect(unpackText([22], 0, versionCharacters)).toBeUndefined();
});
