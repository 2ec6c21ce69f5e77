import { expect, test } from 'vitest';
import { fitWidth } from '../../../src/ui/fit-width.ts';

test('a line that fits stays as it is, blanks and all', () => {
  const text = 'card    a.img\n\n  x   y';
  expect(fitWidth(text, 20)).toBe(text);
});

test('a wider one breaks between words and hangs', () => {
  expect(fitWidth('ready: every byte was read back and agrees', 20)).toBe(
    ['ready: every byte', '  was read back and', '  agrees'].join('\n'),
  );
  expect(fitWidth('    next: take another card', 16)).toBe(
    ['    next: take', '      another', '      card'].join('\n'),
  );
});

test('a word wider than the window stays whole', () => {
  expect(fitWidth(`sha256  ${'a'.repeat(64)}`, 30)).toBe(`sha256\n  ${'a'.repeat(64)}`);
});

test('colour takes no room', () => {
  const red = '\u001b[31mstop\u001b[39m';
  expect(fitWidth(`${red} here now`, 13)).toBe(`${red} here now`);
});

test('an object of JSON is one word, blanks in its strings and all; what is said beside it still breaks', () => {
  const answer = '{"step":"a measure","readings":[0.4],"values":{"bus address":true}}';
  expect(fitWidth(`  ${answer}  where it was measured`, 30).split('\n')).toEqual([
    `  ${answer}`,
    '    where it was measured',
  ]);
  expect(fitWidth('  use {"ask":"a b"}, or {"ask":"c d"}', 24).split('\n')).toEqual([
    '  use {"ask":"a b"}, or',
    '    {"ask":"c d"}',
  ]);
});
