// What a person can type as a reading, by hand.

import { expect, test } from 'vitest';
import { parseReading } from '../../../../src/procedure/walk/reading.ts';

test.each([
  ['0', 0],
  ['0.4', 0.4],
  ['0,4', 0.4],
  ['-1,2', -1.2],
  ['\u22121.2', -1.2],
  ['+50', 50],
  ['- 3', -3],
  ['412', 412],
  ['1234', 1234],
  ['0.125', 0.125],
  ['1234,5', 1234.5],
  ['-0', 0],
  ['1,2345', 1.2345],
])('%s is %d', (text, value) => {
  expect(parseReading(text)).toEqual({ kind: 'value', value });
});

test.each(['1.234', '1,234', '-12.500', '999,999'])('%s may group thousands', (text) => {
  expect(parseReading(text)).toEqual({ kind: 'ambiguous' });
});

test.each([
  '',
  '-',
  '.5',
  '5.',
  '1.2.3',
  '1,234.5',
  '4 V',
  '1e3',
  'NaN',
  '0x10',
  '--1',
  '12345678901',
  '１２',
])('%s is no reading', (text) => {
  expect(parseReading(text)).toEqual({ kind: 'unfit' });
});
