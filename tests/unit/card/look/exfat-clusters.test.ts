// A file allocation table that leaps about: it is followed to its end where a real one could be so, and given up where it
// would have the card read for hours.

import { expect, test } from 'vitest';
import type { ExfatGeometry } from '../../../../src/card/exfat/exfat-boot.ts';
import { ExfatClusters } from '../../../../src/card/look/exfat-clusters.ts';
import { tooManyRuns } from '../../../../src/card/look/walk-chain.ts';

const pageBytes = 65_536;
/** More than are kept. */
const pages = 300;
const entriesOfPage = pageBytes / 4;
const clusterCount = pages * entriesOfPage - 2;
const geometry: ExfatGeometry = {
  bytesPerSector: 512,
  clusterBytes: 512,
  clusterCount,
  lastCluster: clusterCount + 1,
  dataOffsetBytes: pages * pageBytes,
  fatOffsetBytes: 0,
  fatBytes: pages * pageBytes,
  rootCluster: 2,
  volumeBytes: pages * pageBytes + clusterCount * 512,
};

/** From page to page, round and round: each step needs one that was forgotten. */
function leaping(steps: number) {
  const fat = new Uint8Array(pages * pageBytes);
  const view = new DataView(fat.buffer);
  const cluster = (step: number) => 2 + (step % pages) * entriesOfPage + Math.floor(step / pages);
  for (let step = 0; step < steps; step++)
    view.setUint32(cluster(step) * 4, step + 1 === steps ? 0xffffffff : cluster(step + 1), true);
  const reads = { bytes: 0 };
  // Only the beginning of a page says anything.
  const read = (offset: number, target: Uint8Array) => {
    reads.bytes += target.length;
    target.set(fat.subarray(offset, offset + 2048));
  };
  const blocks = { sizeBytes: fat.length, sectorBytes: 512, read, reads };
  const chain = new ExfatClusters(blocks, 0, geometry).follow({ firstCluster: 2, noFatChain: false });
  return { chain, blocks };
}

test('a file in a thousand pieces is followed to its end', () => {
  const { chain, blocks } = leaping(1000);
  expect(chain).toMatchObject({ state: 'sound', clusterCount: 1000 });
  expect(blocks.reads.bytes).toBe(1000 * pageBytes);
});

test('one in seventy thousand is given up after 4 GiB of reading', () => {
  const { chain, blocks } = leaping(70_000);
  expect(chain).toMatchObject({ state: 'broken', at: tooManyRuns, clusterCount: 65_537 });
  expect(blocks.reads.bytes).toBe(2 ** 32);
});
