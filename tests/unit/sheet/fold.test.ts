import { expect, test } from 'vitest';
import { columnWidth, fold, foldAfter, padColumns } from '../../../src/sheet/fold.ts';

test('breaks between words, never beyond the width', () => {
  expect(fold('Slide the card in, contacts to the wall', 16)).toEqual([
    'Slide the card',
    'in, contacts to',
    'the wall',
  ]);
  expect(fold('exactly ten', 11)).toEqual(['exactly ten']);
  expect(fold('exactly ten', 10)).toEqual(['exactly', 'ten']);
  expect(fold('  two   blanks ', 40)).toEqual(['two blanks']);
  expect(fold('', 10)).toEqual(['']);
});

test('cuts a word that is longer than the line, since paper does not scroll', () => {
  expect(fold('ab 0123456789012 cd', 5)).toEqual(['ab', '01234', '56789', '012', 'cd']);
  expect(fold('0123456789', 5)).toEqual(['01234', '56789']);
  // Not even one wide character fits: it is taken all the same, so that it ends.
  expect(fold('漢字', 1)).toEqual(['漢', '字']);
});

test('a no-break space holds together what stands around it', () => {
  expect(fold('wait for 7\u00a0min here', 9)).toEqual(['wait for', '7\u00a0min', 'here']);
});

test('counts columns: wide characters two, combining marks none', () => {
  expect(columnWidth('abc')).toBe(3);
  expect(columnWidth('漢字')).toBe(4);
  expect(columnWidth('e\u0301')).toBe(1);
  expect(columnWidth('Ω°µ')).toBe(3);
  expect(fold('漢字 漢字', 5)).toEqual(['漢字', '漢字']);
  expect(padColumns('漢', 4)).toBe('漢  ');
});

test('the lines after the first stand below the text', () => {
  expect(foldAfter('  - ', 'one two three', 10)).toEqual(['  - one', '    two', '    three']);
  expect(foldAfter('  - ', '', 10)).toEqual(['  -']);
});
