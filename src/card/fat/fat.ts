// The file allocation table (Microsoft FAT specification, section 4): one entry a cluster, 12, 16 or 28 bits of
// 32. Gets and sets entries in the bytes of one copy, and gives all of them as a typed array for fast walks.
// Follows no chain: see `walk-chain.ts`.

import type { FatBits } from './fat-geometry.ts';

/** Marks by type: the lowest value that ends a chain, the value of a bad cluster, all bits that count. */
export const fatMarks = {
  12: { end: 0xff8, bad: 0xff7, mask: 0xfff, endMark: 0xfff },
  16: { end: 0xfff8, bad: 0xfff7, mask: 0xffff, endMark: 0xffff },
  32: { end: 0x0ffffff8, bad: 0x0ffffff7, mask: 0x0fffffff, endMark: 0x0fffffff },
} as const;

/** In the entry of cluster 1; set means clean, and no error. FAT12 has neither. */
export const cleanBits = {
  12: { clean: 0, noError: 0 },
  16: { clean: 0x8000, noError: 0x4000 },
  32: { clean: 0x08000000, noError: 0x04000000 },
} as const;

export const freeEntry = 0;

export function fatEntry(fat: Uint8Array, bits: FatBits, cluster: number): number {
  if (bits === 12) {
    const at = cluster + (cluster >> 1);
    const pair = (fat[at] ?? 0) | ((fat[at + 1] ?? 0) << 8);
    return cluster & 1 ? pair >> 4 : pair & 0xfff;
  }
  if (bits === 16) return (fat[cluster * 2] ?? 0) | ((fat[cluster * 2 + 1] ?? 0) << 8);
  const at = cluster * 4;
  const value =
    (fat[at] ?? 0) | ((fat[at + 1] ?? 0) << 8) | ((fat[at + 2] ?? 0) << 16) | ((fat[at + 3] ?? 0) << 24);
  return value & fatMarks[32].mask;
}

/** On FAT32 the upper four bits stay as they are (section 4.2). */
export function setFatEntry(fat: Uint8Array, bits: FatBits, cluster: number, value: number): void {
  if (bits === 12) {
    const at = cluster + (cluster >> 1);
    if (cluster & 1) {
      fat[at] = ((fat[at] ?? 0) & 0x0f) | ((value & 0x0f) << 4);
      fat[at + 1] = (value >> 4) & 0xff;
    } else {
      fat[at] = value & 0xff;
      fat[at + 1] = ((fat[at + 1] ?? 0) & 0xf0) | ((value >> 8) & 0x0f);
    }
    return;
  }
  const at = cluster * (bits / 8);
  fat[at] = value & 0xff;
  fat[at + 1] = (value >> 8) & 0xff;
  if (bits === 32) {
    fat[at + 2] = (value >> 16) & 0xff;
    fat[at + 3] = ((fat[at + 3] ?? 0) & 0xf0) | ((value >> 24) & 0x0f);
  }
}

const hostIsLittleEndian = new Uint8Array(new Uint16Array([1]).buffer)[0] === 1;

/**
 * All entries by cluster number, raw: on FAT32 the upper four bits are still there. For 16 and 32 bits a view
 * of the same memory where the machine allows it, so that 28 MB are not copied.
 */
export function fatEntries(fat: Uint8Array, bits: FatBits, count: number): Uint16Array | Uint32Array {
  if (bits === 12) {
    const entries = new Uint16Array(count);
    for (let cluster = 0; cluster < count; cluster++) entries[cluster] = fatEntry(fat, 12, cluster);
    return entries;
  }
  const width = bits / 8;
  if (hostIsLittleEndian && fat.byteOffset % width === 0) {
    return bits === 16
      ? new Uint16Array(fat.buffer, fat.byteOffset, count)
      : new Uint32Array(fat.buffer, fat.byteOffset, count);
  }
  const view = new DataView(fat.buffer, fat.byteOffset, fat.byteLength);
  const entries = bits === 16 ? new Uint16Array(count) : new Uint32Array(count);
  for (let i = 0; i < count; i++) {
    entries[i] = bits === 16 ? view.getUint16(i * 2, true) : view.getUint32(i * 4, true);
  }
  return entries;
}
