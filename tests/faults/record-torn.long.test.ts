import { expect, test } from 'vitest';
import { type TornLoop, tearEachStep } from './record-torn.ts';

const file = 'tests/faults/record-torn.long.test.ts';
const play = async (loop: Omit<TornLoop, 'file' | 'project'>) => {
  const result = await tearEachStep({ file, project: 'long', ...loop });
  console.log(`${result.played} cases of ${result.steps} steps, up to ${result.entries} entries`);
  return result;
};
/** One case alone is played again: none of what many of them must have shown. */
const isOne = process.env.SLOTPROOF_TORN !== undefined;

test('every step by which a record is made and written, its last write in part, from nothing', async () => {
  const { lost, played } = await play({ pairs: 3, pairsBefore: 0, cutEvery: 1, byChance: 400 });
  expect(lost).toEqual([]);
  if (!isOne) expect(played).toBeGreaterThan(800);
});

test('a record of the version before this one, while it is brought up to date', async () => {
  const { lost, entries } = await play({ pairs: 1, pairsBefore: 'older', cutEvery: 1, byChance: 100 });
  expect(lost).toEqual([]);
  if (!isOne) expect(entries).toBe(2);
});

test('a record that is there already, and whose log is written back in the middle', async () => {
  const { lost, entries, writtenBack } = await play({
    pairs: 150,
    pairsBefore: 20,
    cutEvery: 59,
    byChance: 150,
  });
  expect(lost).toEqual([]);
  expect(writtenBack).toBe(true);
  if (!isOne) expect(entries).toBeGreaterThan(200);
});

test('one transaction, much of which is on the disk before it is ended: all of it or nothing', async () => {
  const { lost, played, entries, spilledBytes } = await play({
    ...{ pairs: 4000, pairsBefore: 20, inOne: true },
    ...{ cutEvery: 2003, byChance: 24 },
  });
  expect(lost).toEqual([]);
  expect(spilledBytes).toBeGreaterThan(1_000_000);
  if (isOne) return;
  expect(played).toBeGreaterThan(40);
  expect(entries).toBe(8040);
}, 600_000);

test('a disk whose flushes do nothing loses what was said, and that is seen', async () => {
  const { lost } = await play({
    ...{ pairs: 3, pairsBefore: 2, cutEvery: 1000, byChance: 100, flushesLie: true },
  });
  // The tool cannot know, where the log is gone whole; whoever was told that an entry is written does.
  if (!isOne) expect(lost.filter((one) => /expected undefined to be/.test(one)).length).toBeGreaterThan(5);
});
