// What is kept of a card whose files lay claim to each other's clusters: no more than twice what it holds.

import { expect, it } from 'vitest';
import { examineCard } from '../../../src/card/look/examine-card.ts';
import { keepBeforeLayout } from '../../../src/transfer/keep-before-layout.ts';
import { makeCardBytes } from '../../support/card-images.ts';
import { firmwareBytes } from '../../support/card-rule.ts';
import { memoryBlocks } from '../../support/memory-blocks.ts';
import { Plant } from '../../support/plant.ts';

const bigBytes = 1 << 20;
const small = Array.from({ length: 40 }, (_, i) => ({
  path: `SMALL${i}.TXT`,
  bytes: firmwareBytes(100, i + 2),
}));
const sound = { path: 'SOUND.TXT', bytes: firmwareBytes(2000, 50) };

it('keeps sound files and some of those that share clusters, and tells the rest as lost', () => {
  const bytes = makeCardBytes({
    sizeBytes: 3 << 20,
    table: 'none',
    bits: 16,
    sectorsPerCluster: 1,
    files: [{ path: 'BIG.BIN', bytes: firmwareBytes(bigBytes) }, ...small, sound],
  });
  const at = new Plant(bytes);
  const first = at.firstCluster(at.entry('BIG     BIN'));
  small.forEach((_, i) => {
    const entry = at.entry(`${`SMALL${i}`.padEnd(8)}TXT`);
    at.setFirstCluster(entry, first);
    at.view.setUint32(entry + 28, bigBytes, true);
  });
  const reader = memoryBlocks(bytes);
  const card = examineCard(reader);
  const { keep, lost } = keepBeforeLayout(card, reader, undefined);
  const clusters = keep.reduce((sum, file) => sum + file.clusterCount, 0);
  expect(clusters).toBeLessThanOrEqual(2 * (card.volume?.geometry.clusterCount ?? 0));
  expect(keep.map((file) => file.path)).toContain('SOUND.TXT');
  expect(keep.filter((file) => file.sizeBytes === bigBytes).length).toBeGreaterThan(0);
  // None of them is forgotten.
  const told = new Set([
    ...keep.map((file) => file.path),
    ...lost.map((step) => (step.do === 'lose' ? step.path : '')),
  ]);
  expect(told.size).toBe(small.length + 2);
});
