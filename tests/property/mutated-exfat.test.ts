// Some thousand exFAT cards with random damage: `check` never fails, never reads without bounds, and calls none ready from
// which others read other bytes than the image. A quarter of a million of them: mutated-exfat.long.test.ts.

import { beforeAll, expect, test } from 'vitest';
import { type ExfatBase, exfatBases, runExfatMutations } from '../support/exfat-mutation.ts';

const one = process.env.MUTATE_SEED;
const first = Number(one ?? 1);
const cases = Number(process.env.MUTATE_COUNT ?? (one === undefined ? 2500 : 1));
let bases: ExfatBase[] = [];
beforeAll(() => {
  bases = exfatBases();
});

test(`${cases} damaged cards from seed ${first}`, async () => {
  const run = await runExfatMutations(bases, first, cases, 40);
  if (one !== undefined) return;
  expect(run.judgedByFsck).toBe(40);
  expect(run.ready).toBeGreaterThan(cases * 0.05);
  // Damage of every kind is reached.
  const reached = [
    'boot-sector-bad',
    'directory-damaged',
    'bitmap-wrong',
    'chain-broken',
    'cross-linked',
    'lost-clusters',
    'backup-boot-differs',
    'volume-dirty',
    'volume-error-flag',
    'image-digest-mismatch',
    'partition-size-mismatch',
  ];
  expect(reached.filter((code) => run.codes[code] === undefined)).toEqual([]);
}, 120_000);
