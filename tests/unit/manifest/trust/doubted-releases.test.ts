// Which releases an untrusted text may mean to withdraw: too many rather than too few, and none where it withdraws nothing.

import { expect, test } from 'vitest';
import { releaseKey } from '../../../../src/manifest/catalogue.ts';
import type { Release } from '../../../../src/manifest/schema.ts';
import { releasesInDoubt } from '../../../../src/manifest/trust/doubted-releases.ts';

const known = ['rill-40@4.2.0', 'rill-40@4.2', 'rill-40@4.0.0', 'rill-4@4.2.0', 'lume-2@7'].map((key) => {
  const [product, version] = key.split('@');
  return { product, version } as Release;
});
const doubted = (text: string) => releasesInDoubt(text, known).map(releaseKey);

test.each([
  [
    'product: rill-40\nversion: 4.2.0\nfrom: { atLeast: 4.0.0 }\nwithdrawn: { on: 2026-11-02 }',
    ['rill-40@4.2.0'],
  ],
  ['{"product":"rill-40","version":"4.2.0","withdrawn":{"on":"x"}}', ['rill-40@4.2.0']],
  ['product: \'rill-40\'\nversion: "4.0.0"\nwithdrawn : {}', ['rill-40@4.0.0']],
  ['product: lume-2\r\nversion: 7\r\nwithdrawn: {}', ['lume-2@7']],
  // In no form that is known: whatever is named.
  ['withdrawn: {}\nthis is about rill-40 and 4.2.0, not 4.0.0', ['rill-40@4.2.0', 'rill-40@4.0.0']],
  ['withdrawn: {}\nproduct: rill-40\nversion: 4.2.01', []],
  ['withdrawn: {}\nproduct: rill-401\nversion: 4.2.0', []],
  ['product: rill-40\nversion: 4.2.0\nnotes: not withdrawn', []],
  ['', []],
])('%j', (text, expected) => {
  expect(doubted(text)).toEqual(expected);
});
