import { expect, test } from 'vitest';
import { wrap } from '../../../src/words/wrap.ts';

test('breaks between words, and leaves a longer word whole', () => {
  expect(wrap('take another  card\nnow', 12)).toBe('take another\ncard now');
  expect(wrap('see abcdefghijklmnop', 8, '  ', '')).toBe('see\n  abcdefghijklmnop');
});

test('an object of JSON is one word: a break within its strings would be copied with it', () => {
  const answer = '{"values":{"bus address":"a b"}}';
  expect(wrap(`give ${answer}, then go on`, 16)).toBe(`give\n${answer},\nthen go on`);
  // What only looks like one is plain words.
  expect(wrap('{"a b c d e f', 6)).toBe('{"a b\nc d e\nf');
});
