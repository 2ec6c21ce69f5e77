// 8,000 cards with random damage: `check` never fails, never reads beyond the card, never works without bounds,
// and never calls a card ready from which others read other bytes than the image.

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { cardCodes } from '../../src/card/check/finding-codes.ts';
import { takeFile, temporaryFolder } from '../support/card-images.ts';
import { type MutationBase, mutationBases, mutationImagePath } from '../support/mutate-volume.ts';
import { isImage, type MutationRun, ownReading, runMutations } from '../support/mutation-run.ts';

const one = process.env.MUTATE_SEED;
/** From here on 8,000 are enough to reach every kind of damage; some kinds come once in 10,000. */
const first = Number(one ?? 24_001);
const cases = Number(process.env.MUTATE_COUNT ?? (one === undefined ? 8_000 : 1));

let bases: MutationBase[] = [];
beforeAll(() => {
  bases = mutationBases();
}, 60_000);

/** Each part has its own time limit, which is for one that hangs and no measure of speed. */
const partCases = 1000;
const parts = Array.from({ length: Math.ceil(cases / partCases) }, (_, part) => ({
  from: first + part * partCases,
  count: Math.min(partCases, cases - part * partCases),
}));
const runs: MutationRun[] = [];

test.each(parts)(
  '$count damaged cards from seed $from',
  async ({ from, count }) => {
    const run = await runMutations(bases, from, count, 6);
    expect(run.cases).toBe(count);
    runs.push(run);
  },
  18_000,
);

// The damage is neither too mild nor too heavy to mean something, and reaches most of what can be told.
test.runIf(cases >= 8_000)('what the damage did, over all of them', () => {
  const sum = (of: (run: MutationRun) => number) => runs.reduce((all, run) => all + of(run), 0);
  expect(sum((run) => run.cases)).toBe(cases);
  expect(sum((run) => run.ready)).toBeGreaterThan(cases * 0.05);
  expect(sum((run) => run.verdicts.unfit ?? 0)).toBeGreaterThan(cases * 0.3);
  expect(sum((run) => run.judgedByMtools)).toBe(6 * parts.length);
  const never = Object.keys(cardCodes).filter((code) => runs.every((run) => run.codes[code] === undefined));
  const needOther = [
    ...[
      'capacity-too-small',
      'capacity-too-large',
      'partition-not-active',
      'withdrawn',
      'withdrawals-unread',
      'not-examined',
    ],
    ...['write-protected', 'cluster-too-large', 'no-room', 'other-image'],
    ...['image-fragmented', 'image-slot-too-late', 'image-misplaced'],
    ...['rule-needs-device', 'entry-unknown', 'not-read-from-card', 'cleaned-last'],
    ...['written-by-mount', 'bitmap-wrong', 'changed-by-unit', 'result-on-card'],
  ];
  expect(never.filter((code) => !needOther.includes(code))).toEqual([]);
  // Damage gets behind the check sums of a GUID partition table.
  const behind = new Set(runs.flatMap((run) => Object.keys(run.codesBehindSeal)));
  const byTheTable = ['partition-table-not-allowed', 'gpt-copy-differs', 'partition-beyond-card'];
  expect(byTheTable.filter((code) => !behind.has(code))).toEqual([]);
});

test('the judges catch one wrong bit', () => {
  const path = join(temporaryFolder(), 'card.img');
  for (const base of bases) {
    const start = base.recipe.table === 'none' ? 0 : (base.recipe.startSector ?? 2048);
    const at = base.plant.clusterAt(base.plant.firstCluster(base.plant.entry('RILL40  FWU'))) + 99;
    for (const bit of [0, 1]) {
      base.bytes[at] = base.bytes[at]! ^ bit;
      writeFileSync(path, base.bytes);
      base.bytes[at] = base.bytes[at]! ^ bit;
      expect(isImage(takeFile(path, base.recipe, mutationImagePath))).toBe(bit === 0);
    }
    base.bytes[at] = base.bytes[at]! ^ 1;
    expect(isImage(ownReading(base.bytes, start))).toBe(false);
    base.bytes[at] = base.bytes[at]! ^ 1;
    expect(isImage(ownReading(base.bytes, start))).toBe(true);
  }
}, 60_000);
