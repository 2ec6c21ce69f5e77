// The free space of a volume as one row of bytes, in the order in which it lies on the card, whatever files lie between. A
// test of the card writes there and nowhere else.

import { freeIn } from '../check/room.ts';
import { clusterOffsetBytes, firstCluster } from '../cluster-geometry.ts';
import type { CardVolume } from '../look/examined-card.ts';

/** Bytes that lie together on the card. */
export interface Stretch {
  readonly offsetBytes: number;
  readonly lengthBytes: number;
}

/** What is written and judged as one. */
export const unitBytes = 4096;

export class FreeSpace {
  readonly stretches: readonly Stretch[];
  readonly sizeBytes: number;
  /** Free bytes before each stretch. */
  readonly #before: number[] = [];

  /** `stretches`: in order, apart from each other, whole units. */
  constructor(stretches: readonly Stretch[]) {
    this.stretches = stretches;
    let sum = 0;
    for (const { lengthBytes } of stretches) {
      this.#before.push(sum);
      sum += lengthBytes;
    }
    this.sizeBytes = sum;
  }

  #indexAt(free: number): number {
    let low = 0;
    let high = this.stretches.length;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((this.#before[middle] ?? 0) <= free) low = middle;
      else high = middle;
    }
    return low;
  }

  /** Where `lengthBytes` of free space from `free` on lie on the card. */
  placesOf(free: number, lengthBytes: number): Stretch[] {
    const places: Stretch[] = [];
    let left = Math.min(lengthBytes, this.sizeBytes - free);
    let at = free;
    for (let index = this.#indexAt(free); left > 0; index++) {
      const stretch = this.stretches[index];
      if (stretch === undefined) break;
      const within = at - (this.#before[index] ?? 0);
      const length = Math.min(left, stretch.lengthBytes - within);
      places.push({ offsetBytes: stretch.offsetBytes + within, lengthBytes: length });
      at += length;
      left -= length;
    }
    return places;
  }

  /** What is not free between the card's beginning and `endBytes`, as far as there is free space behind it. */
  takenBefore(endBytes: number): Stretch[] {
    let at = 0;
    const taken: Stretch[] = [];
    for (const { offsetBytes, lengthBytes } of this.stretches) {
      const end = Math.min(offsetBytes, endBytes);
      if (end > at) taken.push({ offsetBytes: at, lengthBytes: end - at });
      at = offsetBytes + lengthBytes;
      if (at >= endBytes) break;
    }
    return taken;
  }

  /** How much free space lies before that place of the card. */
  freeBefore(offsetBytes: number): number {
    let low = 0;
    let high = this.stretches.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      const stretch = this.stretches[middle];
      if (stretch !== undefined && stretch.offsetBytes + stretch.lengthBytes <= offsetBytes) low = middle + 1;
      else high = middle;
    }
    const stretch = this.stretches[low];
    if (stretch === undefined) return this.sizeBytes;
    return (this.#before[low] ?? 0) + Math.max(0, offsetBytes - stretch.offsetBytes);
  }
}

/** `cardBytes`: where the card ends, whatever its tables say. */
export function freeSpaceOf(volume: CardVolume, cardBytes: number): FreeSpace {
  const { geometry, startBytes } = volume;
  const isFree = freeIn(volume);
  const stretches: Stretch[] = [];
  const add = (first: number, count: number): void => {
    const from = startBytes + clusterOffsetBytes(geometry, first);
    const to = Math.min(from + count * geometry.clusterBytes, cardBytes);
    // Whole units of the card: a part of a unit may belong to a file.
    const offsetBytes = Math.ceil(from / unitBytes) * unitBytes;
    const lengthBytes = Math.floor(to / unitBytes) * unitBytes - offsetBytes;
    if (lengthBytes > 0) stretches.push({ offsetBytes, lengthBytes });
  };
  let first = 0;
  for (let cluster = firstCluster; cluster <= geometry.lastCluster; cluster++) {
    if (isFree(cluster)) {
      if (first === 0) first = cluster;
    } else if (first !== 0) {
      add(first, cluster - first);
      first = 0;
    }
  }
  if (first !== 0) add(first, geometry.lastCluster + 1 - first);
  return new FreeSpace(stretches);
}
