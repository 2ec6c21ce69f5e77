import { expect, test } from 'vitest';
import { tearEachStep } from './record-torn.ts';

const file = 'tests/faults/record-torn.test.ts';

test('a write that is on the disk in part, at a few of the steps by which a record is made and written', async () => {
  const { played, lost } = await tearEachStep({
    ...{ file, project: 'default', pairs: 1, pairsBefore: 0 },
    ...{ cutEvery: 23, byChance: 6 },
  });
  expect(lost).toEqual([]);
  expect(played).toBeGreaterThan(12);
});
