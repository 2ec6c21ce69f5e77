// Whether a card can hold an image at all once everything that would go is gone. What is lost, bad or kept stays
// taken. A rough answer for a look; the exact place is planned when the card is prepared.

import { fatMarks, freeEntry } from '../fat/fat.ts';
import { firstCluster } from '../fat/fat-geometry.ts';
import type { CardNode, FatVolume } from '../look/examined-card.ts';
import { clustersOf } from '../look/examined-card.ts';

export interface Room {
  readonly freeClusters: number;
  /** The longest run of clusters that follow each other. */
  readonly longestRun: number;
}

/** Free clusters, with those of `leaving` (files and folders, each alone without what is in it) counted as free. */
export function roomWithout(volume: FatVolume, leaving: Iterable<CardNode>): Room {
  const { entries, geometry } = volume;
  const { mask } = fatMarks[geometry.bits];
  const freed = new Uint8Array(geometry.clusterCount + 2);
  for (const node of leaving) for (const cluster of clustersOf(node)) freed[cluster] = 1;
  let freeClusters = 0;
  let longestRun = 0;
  let run = 0;
  for (let cluster = firstCluster; cluster <= geometry.lastCluster; cluster++) {
    if (freed[cluster] === 1 || ((entries[cluster] as number) & mask) === freeEntry) {
      freeClusters++;
      run++;
      if (run > longestRun) longestRun = run;
    } else run = 0;
  }
  return { freeClusters, longestRun };
}
