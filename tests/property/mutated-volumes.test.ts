// 20,000 cards with random damage: `check` never fails, never reads beyond the card, never works without bounds,
// and never calls a card ready from which others read other bytes than the image.

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { cardCodes } from '../../src/card/check/finding-codes.ts';
import { takeFile, temporaryFolder } from '../support/card-images.ts';
import { type MutationBase, mutationBases, mutationImagePath } from '../support/mutate-volume.ts';
import { isImage, ownReading, runMutations } from '../support/mutation-run.ts';

const one = process.env.MUTATE_SEED;
const first = Number(one ?? 1);
const cases = Number(process.env.MUTATE_COUNT ?? (one === undefined ? 20_000 : 1));

let bases: MutationBase[] = [];
beforeAll(() => {
  bases = mutationBases();
}, 60_000);

test(`${cases} damaged cards from seed ${first}`, async () => {
  const run = await runMutations(bases, first, cases, 120);
  expect(run.cases).toBe(cases);
  if (cases < 20_000) return;
  // The damage is neither too mild nor too heavy to mean something, and reaches most of what can be told.
  expect(run.ready).toBeGreaterThan(cases * 0.05);
  expect(run.verdicts.unfit).toBeGreaterThan(cases * 0.3);
  expect(run.judgedByMtools).toBe(120);
  const never = Object.keys(cardCodes).filter((code) => run.codes[code] === undefined);
  const needOther = [
    ...['capacity-too-small', 'capacity-too-large', 'partition-not-active', 'withdrawn', 'not-examined'],
    ...['write-protected', 'cluster-too-large', 'no-room', 'other-image'],
    ...['image-fragmented', 'image-slot-too-late', 'image-misplaced'],
  ];
  expect(never.filter((code) => !needOther.includes(code))).toEqual([]);
}, 120_000);

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
