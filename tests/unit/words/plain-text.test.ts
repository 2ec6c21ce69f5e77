import { expect, test } from 'vitest';
import { plainText } from '../../../src/words/plain-text.ts';

test.each([
  ['  Alder   Farm ', 'Alder Farm'],
  ['two\r\nlines\tand\u00a0more', 'two lines and more'],
  ['Gro\u0308n', 'Gr\u00f6n'],
  ['\ufeffx', 'x'],
  ['pump \u{1f4a7}', 'pump \u{1f4a7}'],
  [' \n ', ''],
  ['', ''],
])('%j is kept as %j', (text, kept) => {
  expect(plainText(text, 40)).toBe(kept);
});

test.each([
  'a\u0000b',
  '\u001b[31m',
  'a\u202eb',
  '\u2066x',
  '\ud800',
  '\ufffd',
  'x'.repeat(41),
  `${' '.repeat(100_000)}x`,
])('refused: %j', (text) => {
  expect(plainText(text, 40)).toBeUndefined();
});

test('forty characters are not too many', () => {
  expect(plainText('x'.repeat(40), 40)).toHaveLength(40);
});
