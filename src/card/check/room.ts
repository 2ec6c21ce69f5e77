// Whether a card can hold an image at all once everything that would go is gone. What is lost, bad or kept stays
// taken. A rough answer for a look; the exact place is planned when the card is prepared.

import { firstCluster } from '../cluster-geometry.ts';
import { fatMarks, freeEntry } from '../fat/fat.ts';
import type { CardNode, CardVolume } from '../look/examined-card.ts';
import { clustersOf } from '../look/examined-card.ts';

export interface Room {
  readonly freeClusters: number;
  /** The longest run of clusters that follow each other. */
  readonly longestRun: number;
}

/** What the volume itself says of a cluster. */
export function freeIn(volume: CardVolume): (cluster: number) => boolean {
  if (volume.kind === 'exfat') {
    const { bitmap } = volume;
    return (cluster) =>
      ((bitmap[(cluster - firstCluster) >> 3] ?? 0xff) & (1 << ((cluster - firstCluster) & 7))) === 0;
  }
  const { entries } = volume;
  const { mask } = fatMarks[volume.geometry.bits];
  return (cluster) => ((entries[cluster] as number) & mask) === freeEntry;
}

/** Free clusters, with those of `leaving` (files and folders, each alone without what is in it) counted as free. */
export function roomWithout(volume: CardVolume, leaving: Iterable<CardNode>): Room {
  const { geometry } = volume;
  const isFree = freeIn(volume);
  const freed = new Uint8Array(geometry.clusterCount + 2);
  for (const node of leaving) for (const cluster of clustersOf(node)) freed[cluster] = 1;
  let freeClusters = 0;
  let longestRun = 0;
  let run = 0;
  for (let cluster = firstCluster; cluster <= geometry.lastCluster; cluster++) {
    if (freed[cluster] === 1 || isFree(cluster)) {
      freeClusters++;
      run++;
      if (run > longestRun) longestRun = run;
    } else run = 0;
  }
  return { freeClusters, longestRun };
}
