// Which clusters a file of an exFAT volume has: those that follow each other, or those that the FAT leads through. The FAT
// is read in pages, since most files have no need of it; every cluster is marked once, so all walks together take no
// longer than the volume has clusters.

import { decodeNumber } from '../../bytes/fields.ts';
import type { BlockReader } from '../../ports/blocks.ts';
import { firstCluster as lowestCluster } from '../cluster-geometry.ts';
import type { Allocation } from '../exfat/entry-set.ts';
import type { ExfatGeometry } from '../exfat/exfat-boot.ts';
import { readUpTo } from './clamped-read.ts';
import type { Run } from './examined-card.ts';
import { type Chain, maxRuns, tooManyRuns } from './walk-chain.ts';

/** Specification, section 4.1. */
export const exfatMarks = { bad: 0xfffffff7, end: 0xffffffff } as const;

const pageBytes = 1 << 16;
/** 16 MiB in memory at most. */
const mostPages = 256;
/** 4 GiB of reading in all, four times the largest FAT: a twisted one must not read a card for hours. */
const mostPageReads = 2 ** 16;

export class ExfatClusters {
  readonly #blocks: BlockReader;
  readonly #startBytes: number;
  readonly #geometry: ExfatGeometry;
  readonly #pages = new Map<number, Uint8Array>();
  #runsLeft = maxRuns;
  #pageReadsLeft = mostPageReads;
  /** Bit n - 2: a walk came through cluster n. */
  readonly marks: Uint8Array;

  constructor(blocks: BlockReader, startBytes: number, geometry: ExfatGeometry) {
    this.#blocks = blocks;
    this.#startBytes = startBytes;
    this.#geometry = geometry;
    this.marks = new Uint8Array(Math.ceil(geometry.clusterCount / 8));
  }

  /** What the FAT has for a cluster; undefined where the card ends before, or where too much was read already. */
  entry(cluster: number): number | undefined {
    const at = cluster * 4;
    const page = Math.floor(at / pageBytes);
    const bytes = this.#pages.get(page) ?? this.#readPage(page);
    if (bytes === undefined) return undefined;
    const within = at - page * pageBytes;
    return within + 4 <= bytes.length ? decodeNumber(bytes, within, 4) : undefined;
  }

  #readPage(page: number): Uint8Array | undefined {
    if (this.#pageReadsLeft-- <= 0) return undefined;
    const { fatOffsetBytes, fatBytes } = this.#geometry;
    const offset = this.#startBytes + fatOffsetBytes + page * pageBytes;
    const length = Math.min(pageBytes, fatBytes - page * pageBytes);
    const old = this.#pages.size < mostPages ? undefined : this.#forgetOldest();
    let bytes = old;
    if (old?.length === length && offset + length <= this.#blocks.sizeBytes) this.#blocks.read(offset, old);
    else bytes = readUpTo(this.#blocks, offset, length);
    if (bytes !== undefined) this.#pages.set(page, bytes);
    return bytes;
  }

  /** Its memory serves the next one. */
  #forgetOldest(): Uint8Array | undefined {
    const [oldest] = this.#pages;
    if (oldest === undefined) return undefined;
    const [page, bytes] = oldest;
    this.#pages.delete(page);
    return bytes;
  }

  /** Marks it; false: another walk, or this one, was there before. */
  #take(cluster: number): boolean {
    const index = cluster - lowestCluster;
    const bit = 1 << (index & 7);
    const byte = this.marks[index >>> 3] ?? 0xff;
    if ((byte & bit) !== 0) return false;
    this.marks[index >>> 3] = byte | bit;
    return true;
  }

  /** `short` and `long` are not told here. Without a length (the root folder) the FAT alone says how far it goes. */
  follow(
    allocation: Pick<Allocation, 'firstCluster' | 'noFatChain'> & { readonly dataLength?: number },
  ): Chain {
    const { firstCluster, dataLength, noFatChain } = allocation;
    if (firstCluster === 0 && dataLength === 0) return { runs: [], clusterCount: 0, state: 'sound' };
    return noFatChain && dataLength !== undefined
      ? this.#together(firstCluster, Math.ceil(dataLength / this.#geometry.clusterBytes))
      : this.#chained(firstCluster);
  }

  #together(first: number, count: number): Chain {
    const { lastCluster } = this.#geometry;
    if (first < lowestCluster || first > lastCluster)
      return { runs: [], clusterCount: 0, state: 'broken', at: first };
    for (let taken = 0; taken < count; taken++) {
      const cluster = first + taken;
      const runs: Run[] = taken === 0 ? [] : [{ firstCluster: first, clusterCount: taken }];
      if (cluster > lastCluster) return { runs, clusterCount: taken, state: 'broken', at: cluster };
      if (!this.#take(cluster)) return { runs, clusterCount: taken, state: 'cross-linked', at: cluster };
    }
    const runs = count === 0 ? [] : [{ firstCluster: first, clusterCount: count }];
    return { runs, clusterCount: count, state: 'sound' };
  }

  #chained(first: number): Chain {
    const { lastCluster } = this.#geometry;
    const runs: { firstCluster: number; clusterCount: number }[] = [];
    let run = { firstCluster: 0, clusterCount: 0 };
    let clusterCount = 0;
    let cluster = first;
    for (;;) {
      if (cluster < lowestCluster || cluster > lastCluster)
        return { runs, clusterCount, state: 'broken', at: cluster };
      const goesOn = clusterCount > 0 && cluster === run.firstCluster + run.clusterCount;
      if (!goesOn && this.#runsLeft-- <= 0) return { runs, clusterCount, state: 'broken', at: tooManyRuns };
      if (!this.#take(cluster)) {
        const own = runs.some(
          (one) => cluster >= one.firstCluster && cluster < one.firstCluster + one.clusterCount,
        );
        return { runs, clusterCount, state: own ? 'loop' : 'cross-linked', at: cluster };
      }
      clusterCount++;
      if (goesOn) run.clusterCount++;
      else {
        run = { firstCluster: cluster, clusterCount: 1 };
        runs.push(run);
      }
      const next = this.entry(cluster);
      if (next === exfatMarks.end) return { runs, clusterCount, state: 'sound' };
      // The card ends within its FAT, or its chains leap about without end: that leads nowhere.
      if (next === undefined) {
        const at = this.#pageReadsLeft < 0 ? tooManyRuns : 0;
        return { runs, clusterCount, state: 'broken', at };
      }
      cluster = next;
    }
  }
}
