// Follows one chain of clusters through the FAT and marks what it uses. Every cluster is marked once, so all
// walks together take no longer than the volume has clusters, however the FAT is twisted.

import { firstCluster as lowestCluster } from '../cluster-geometry.ts';
import { fatMarks, freeEntry } from '../fat/fat.ts';
import type { FatBits } from '../fat/fat-geometry.ts';
import type { ChainState, Run } from './examined-card.ts';

export interface ChainMap {
  readonly bits: FatBits;
  readonly entries: Uint16Array | Uint32Array;
  /** The highest cluster number there is. */
  readonly lastCluster: number;
  /** By cluster: 1 where a chain uses it. Filled in by the walks. */
  readonly marks: Uint8Array;
  /** How many pieces may still be noted: a twisted FAT must not fill this computer's memory. */
  runsLeft: number;
}

/** Pieces of all files of a card together; some 60 MB of memory. Real cards have a few thousand. */
export const maxRuns = 1_000_000;
/** `Chain.at` where the pieces ran out. */
export const tooManyRuns = -1;

export interface Chain {
  readonly runs: readonly Run[];
  readonly clusterCount: number;
  /** `short` and `long` are not told here: the walk knows no size. */
  readonly state: Exclude<ChainState, 'short' | 'long'>;
  /** Where it went wrong: the value that was read, or the cluster that was met again. */
  readonly at?: number;
}

/** Walks from `first` on, to the end mark or to the first thing that is wrong. */
export function walkChain(map: ChainMap, first: number): Chain {
  const { entries, lastCluster, marks } = map;
  const { end, bad, mask } = fatMarks[map.bits];
  const runs: { firstCluster: number; clusterCount: number }[] = [];
  let run = { firstCluster: 0, clusterCount: 0 };
  let clusterCount = 0;
  let cluster = first;
  for (;;) {
    if (cluster < lowestCluster || cluster > lastCluster)
      return { runs, clusterCount, state: 'broken', at: cluster };
    if (marks[cluster] !== 0) {
      const own = runs.some(
        (one) => cluster >= one.firstCluster && cluster < one.firstCluster + one.clusterCount,
      );
      return { runs, clusterCount, state: own ? 'loop' : 'cross-linked', at: cluster };
    }
    const goesOn = clusterCount > 0 && cluster === run.firstCluster + run.clusterCount;
    if (!goesOn && map.runsLeft-- <= 0) return { runs, clusterCount, state: 'broken', at: tooManyRuns };
    marks[cluster] = 1;
    clusterCount++;
    if (goesOn) run.clusterCount++;
    else {
      run = { firstCluster: cluster, clusterCount: 1 };
      runs.push(run);
    }
    const next = (entries[cluster] as number) & mask;
    if (next >= end) return { runs, clusterCount, state: 'sound' };
    if (next === freeEntry || next === bad) return { runs, clusterCount, state: 'broken', at: next };
    cluster = next;
  }
}

export interface ClusterCount {
  readonly free: number;
  readonly bad: number;
  /** In use by the FAT, but marked by no walk. */
  readonly lost: number;
}

/** One pass over all entries that are not blank; nothing is made per cluster. */
export function countClusters(map: ChainMap, blankPieces: Uint8Array, pieceBytes: number): ClusterCount {
  const { entries, lastCluster, marks } = map;
  const { bad: badMark, mask } = fatMarks[map.bits];
  let free = 0;
  let bad = 0;
  let used = 0;
  let marked = 0;
  // The FAT of twelve bits is shorter than one piece.
  const perPiece = map.bits === 12 ? lastCluster + 1 : (pieceBytes * 8) / map.bits;
  for (let piece = 0, from = 0; from <= lastCluster; piece++, from += perPiece) {
    const to = Math.min(lastCluster, from + perPiece - 1);
    const first = Math.max(lowestCluster, from);
    if (blankPieces[piece] === 1) {
      free += to - first + 1;
      continue;
    }
    for (let cluster = first; cluster <= to; cluster++) {
      const value = (entries[cluster] as number) & mask;
      if (value === freeEntry) free++;
      else if (value === badMark) bad++;
      else {
        used++;
        marked += marks[cluster] as number;
      }
    }
  }
  return { free, bad, lost: used - marked };
}
