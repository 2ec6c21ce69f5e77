import { expect, test } from 'vitest';
import { counted } from '../../../src/words/counted.ts';

test('one is one, and none are many', () => {
  expect([0, 1, 2].map((count) => counted(count, 'unit'))).toEqual(['0 units', '1 unit', '2 units']);
  expect([0, 1, 2].map((count) => counted(count, 'entry', 'entries'))).toEqual([
    '0 entries',
    '1 entry',
    '2 entries',
  ]);
});
