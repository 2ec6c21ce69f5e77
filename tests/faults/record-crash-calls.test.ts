import { expect, test } from 'vitest';
import { killAtEachCall } from './record-crash-calls.ts';

test('a writer ended at one in thirty of the calls by which it makes a record', async () => {
  const { killed } = await killAtEachCall({
    calls: ['pwrite64', 'fsync', 'link'],
    pairs: 2,
    fromNothing: true,
    step: 30,
  });
  expect(killed).toBeGreaterThan(4);
});
