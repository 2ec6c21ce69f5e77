// Whether a card may go to the next unit, by every kind of use, look and release.

import { expect, test } from 'vitest';
import { type CardStanding, cardStanding } from '../../../src/fleet/card-standing.ts';
import type { KnownCard } from '../../../src/record/known-cards.ts';

const fresh: KnownCard = {
  card: 'KF-01',
  prepared: {
    card: 'KF-01',
    release: 'rill-40@4.2.0',
    verdict: 'ready',
    file: { path: 'RILL40.FWU', bytes: 1, sha256: 'ab'.repeat(32) },
    readBack: { method: 'direct', sha256: 'ab'.repeat(32) },
    sizeBytes: 8e9,
    fresh: true,
    kept: 0,
    removed: 0,
    atMs: 10,
    by: 'R. Quill',
    entryId: 'kf-1',
  },
  checked: null,
  seenMs: 10,
  uses: [],
  retired: null,
};
const used: KnownCard = { ...fresh, uses: [{ serial: 'TR1', outcome: 'updated', atMs: 20 }] };
const looked = (
  card: KnownCard,
  verdict: NonNullable<KnownCard['checked']>['verdict'],
  atMs: number,
  release: string | undefined = 'rill-40@4.2.0',
): KnownCard => ({ ...card, checked: { verdict, release, stops: [], atMs, by: 'R. Quill' } });
const release = (afterUse: 'unchanged' | 'writes' | 'renames' | 'consumes', withdrawn = false) => ({
  afterUse,
  withdrawn,
});

const cases: readonly [string, KnownCard, Parameters<typeof cardStanding>[1], CardStanding][] = [
  ['prepared, not used', fresh, release('consumes'), 'ready'],
  ['used, and units leave it as it is', used, release('unchanged'), 'ready'],
  ['used, and units leave a file', used, release('writes'), 'collect-first'],
  ['used, and units rename the file', used, release('renames'), 'prepare-again'],
  ['used, and units take the file', used, release('consumes'), 'prepare-again'],
  ['used, then found ready', looked(used, 'ready', 30), release('consumes'), 'ready'],
  ['found ready, then used', looked(used, 'ready', 15), release('consumes'), 'prepare-again'],
  [
    'found wrong, then used where units change nothing',
    looked(used, 'fixable', 15),
    release('unchanged'),
    'not-ready',
  ],
  ['found wrong', looked(fresh, 'fixable', 15), release('unchanged'), 'not-ready'],
  ['sound, asked for no release', looked(fresh, 'sound', 15, ''), release('unchanged'), 'ready'],
  ['unsound, asked for no release', looked(fresh, 'unsound', 15, ''), release('unchanged'), 'not-ready'],
  [
    'ready for another release',
    looked(fresh, 'ready', 15, 'rill-40@4.0.0'),
    release('unchanged'),
    'not-ready',
  ],
  [
    'not fit for another release',
    looked(fresh, 'unfit', 15, 'weir-18@2026-10-05'),
    release('unchanged'),
    'ready',
  ],
  ['sound after use', looked(used, 'sound', 30, ''), release('consumes'), 'prepare-again'],
  ['withdrawn', looked(fresh, 'ready', 15), release('unchanged', true), 'withdrawn'],
  ['no manifest knows it', fresh, undefined, 'release-unknown'],
  ['retired, whatever else', { ...fresh, retired: { why: 'lost', atMs: 12 } }, undefined, 'retired'],
];

test.each(cases)('%s', (_, card, known, standing) => {
  expect(cardStanding(card, known)).toBe(standing);
});
