import { expect, test } from 'vitest';
import { folder } from '../../../src/manifest/schema-parts.ts';

test.each(['', 'FW', 'FW/LOAD', 'A.B/c d', '1/2/3/4/5/6/7/8', 'x'.repeat(60)])('%j is a folder', (text) => {
  expect(folder.safeParse(text).success).toBe(true);
});

test.each([
  'FW.',
  'FW ',
  ' FW',
  'FW./LOAD',
  'FW/LOAD.',
  '.',
  '..',
  'FW/..',
  '/FW',
  'FW/',
  'A//B',
  'A\\B',
  'A\u0007',
  'x'.repeat(61),
  '1/2/3/4/5/6/7/8/9',
])('%j is no folder', (text) => {
  expect(folder.safeParse(text).success).toBe(false);
});
