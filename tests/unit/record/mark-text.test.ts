import { expect, test } from 'vitest';
import { formatMark, parseMark } from '../../../src/record/mark-text.ts';

const hash = '0123456789abcdef'.repeat(4);

test('printed in groups, and read back however it is typed', () => {
  const mark = { laptop: 'k7mq4rt2', seq: 17, hash };
  expect(formatMark(mark)).toBe('k7mq4rt2-17 01234 56789 abcde f0123');
  const read = { ...mark, hash: hash.slice(0, 20) };
  expect(parseMark(formatMark(mark))).toEqual(read);
  expect(parseMark('  K7MQ4RT2-17:01234 56789ABCDEF0123 ')).toEqual(read);
  expect(parseMark(`k7mq4rt2-17 ${hash}`)).toEqual(mark);
});

test.each([
  '',
  'k7mq4rt2-17',
  'k7mq4rt2-0 0123456789abcdef',
  'k7mq4rt2 17 0123456789abcdef',
  'k7mq4rt2-17 0123456789abcde',
  `k7mq4rt2-17 ${hash}0`,
  'k7mq4rt2-17 0123456789abcdeg',
])('no mark: %s', (text) => {
  expect(parseMark(text)).toBeUndefined();
});
