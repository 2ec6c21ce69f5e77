import { expect, test } from 'vitest';
import { printable } from '../../../src/words/printable.ts';

test.each([
  ['plain text, äöü, 電池', 'plain text, äöü, 電池'],
  ['\u001b[2Jgone', '\\x1b[2Jgone'],
  ['a\r\nb\tc\0', 'a\\x0d\\x0ab\\x09c\\x00'],
  ['\u009b31m', '\\x9b31m'],
  ['abc\u202egpj.exe', 'abc\\u202egpj.exe'],
  ['zero\u200bwidth\ufeff', 'zero\\u200bwidth\\ufeff'],
  ['lone \ud800 half', 'lone \\ud800 half'],
  ['pair 🔋', 'pair 🔋'],
])('%j is shown as %j', (text, shown) => {
  expect(printable(text)).toBe(shown);
});

test('is bounded', () => {
  expect(printable('x'.repeat(5000), 50)).toHaveLength(50);
  expect(printable('x'.repeat(50), 50)).toBe('x'.repeat(50));
});

test('a cut never splits a pair into a lone half unseen', () => {
  expect(printable(`${'x'.repeat(8)}🔋${'y'.repeat(9)}`, 10)).toBe('xxxxxxxx\\ud83d…');
});
