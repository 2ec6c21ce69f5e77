// The FAT as it is to be: entries freed and chains laid in a copy of it, handed out as sector writes for every
// copy on the card, and the search for free clusters. Follows no chain and writes nothing.

import type { CardWrite } from '../card-write.ts';
import { firstCluster } from '../cluster-geometry.ts';
import { cleanBits, fatEntry, fatMarks, freeEntry, setFatEntry } from '../fat/fat.ts';
import { fatOffsetBytes } from '../fat/fat-geometry.ts';
import type { FatVolume, Run } from '../look/examined-card.ts';
import { joinSectors } from './sector-overlay.ts';

/** The entry of cluster 1 holds the clean and error bits. */
const flagCluster = 1;

export class FatDraft {
  readonly #volume: FatVolume;
  readonly #fat: Uint8Array;
  readonly #touched = new Set<number>();
  #freeCount: number;

  constructor(volume: FatVolume) {
    this.#volume = volume;
    this.#fat = volume.fat.slice();
    this.#freeCount = volume.freeClusters;
  }

  get freeClusters(): number {
    return this.#freeCount;
  }

  #set(cluster: number, value: number): void {
    const { bits, bytesPerSector } = this.#volume.geometry;
    const was = fatEntry(this.#fat, bits, cluster);
    setFatEntry(this.#fat, bits, cluster, value);
    if (cluster >= firstCluster) this.#freeCount += Number(value === freeEntry) - Number(was === freeEntry);
    const firstByte = Math.floor((cluster * bits) / 8);
    // An entry of FAT12 may begin in one sector and end in the next.
    const lastByte = Math.floor((cluster * bits + bits - 1) / 8);
    this.#touched.add(Math.floor(firstByte / bytesPerSector));
    this.#touched.add(Math.floor(lastByte / bytesPerSector));
  }

  free(runs: readonly Run[]): void {
    for (const run of runs) {
      for (let i = 0; i < run.clusterCount; i++) this.#set(run.firstCluster + i, freeEntry);
    }
  }

  /** Lays the runs out as one chain; `after`, the last cluster of a chain that grows, leads to it. */
  chain(runs: readonly Run[], after?: number): void {
    let before = after;
    for (const run of runs) {
      for (let cluster = run.firstCluster; cluster < run.firstCluster + run.clusterCount; cluster++) {
        if (before !== undefined) this.#set(before, cluster);
        before = cluster;
      }
    }
    if (before !== undefined) this.#set(before, fatMarks[this.#volume.geometry.bits].endMark);
  }

  /** Sets the clean bit; the error bit stays, since a card with it is refused. */
  markClean(): void {
    const { bits } = this.#volume.geometry;
    const { clean } = cleanBits[bits];
    if (clean !== 0) this.#set(flagCluster, fatEntry(this.#fat, bits, flagCluster) | clean);
  }

  /** The changed sectors of every copy, one that is not kept up to date by others included: copies must agree. */
  takeWrites(): CardWrite[] {
    const { geometry, startBytes, fat } = this.#volume;
    const { bytesPerSector, fatCount } = geometry;
    const numbers = [...this.#touched]
      .filter((number) => number * bytesPerSector < fat.length)
      .sort((a, b) => a - b);
    this.#touched.clear();
    const within = joinSectors(numbers, bytesPerSector, (number) =>
      this.#fat.slice(number * bytesPerSector, (number + 1) * bytesPerSector),
    );
    const copies = Array.from({ length: fatCount }, (_, copy) => copy);
    return copies.flatMap((copy) =>
      within.map(({ offsetBytes, bytes }) => ({
        offsetBytes: startBytes + fatOffsetBytes(geometry, copy) + offsetBytes,
        bytes,
      })),
    );
  }

  /** The first free run that is long enough. */
  findRun(clusterCount: number): Run | undefined {
    const { lastCluster, bits } = this.#volume.geometry;
    let length = 0;
    for (let cluster = firstCluster; cluster <= lastCluster; cluster++) {
      length = fatEntry(this.#fat, bits, cluster) === freeEntry ? length + 1 : 0;
      if (length === clusterCount) return { firstCluster: cluster - clusterCount + 1, clusterCount };
    }
    return undefined;
  }

  /** The first free clusters, wherever they lie; undefined where there are too few. */
  findClusters(clusterCount: number): Run[] | undefined {
    const { lastCluster, bits } = this.#volume.geometry;
    const runs: { firstCluster: number; clusterCount: number }[] = [];
    let left = clusterCount;
    for (let cluster = firstCluster; cluster <= lastCluster && left > 0; cluster++) {
      if (fatEntry(this.#fat, bits, cluster) !== freeEntry) continue;
      const last = runs.at(-1);
      if (last !== undefined && last.firstCluster + last.clusterCount === cluster) last.clusterCount++;
      else runs.push({ firstCluster: cluster, clusterCount: 1 });
      left--;
    }
    return left === 0 ? runs : undefined;
  }

  /** The lowest cluster that is free, for the hint in FSInfo. */
  firstFree(): number | undefined {
    return this.findRun(1)?.firstCluster;
  }
}
