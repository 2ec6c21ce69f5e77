// The type follows from the count of clusters alone, on both sides of each limit; offsets are those of hand-worked
// volumes.

import { expect, test } from 'vitest';
import { clusterOffsetBytes } from '../../../../src/card/cluster-geometry.ts';
import { type BootSector, decodeBootSector, encodeBootSector } from '../../../../src/card/fat/boot-sector.ts';
import {
  fatOffsetBytes,
  geometryOf,
  isPlausibleBootSector,
  rootOffsetBytes,
  typeByClusters,
  usedFatBytes,
} from '../../../../src/card/fat/fat-geometry.ts';

const plain: BootSector = {
  ...decodeBootSector(new Uint8Array(512)),
  jump0: 0xeb,
  jump1: 0x3c,
  jump2: 0x90,
  bytesPerSector: 512,
  sectorsPerCluster: 1,
  reservedSectors: 1,
  fatCount: 2,
  media: 0xf8,
  signature: 0xaa55,
};

function fat16(clusters: number, changes: Partial<BootSector> = {}): BootSector {
  const sectorsPerFat16 = Math.ceil(((clusters + 2) * 2) / 512);
  const totalSectors32 = 1 + 2 * sectorsPerFat16 + 32 + clusters;
  return { ...plain, layout: 'fat16', rootEntryCount: 512, sectorsPerFat16, totalSectors32, ...changes };
}

function fat32(clusters: number, changes: Partial<BootSector> = {}): BootSector {
  const sectorsPerFat32 = Math.ceil(((clusters + 2) * 4) / 512);
  const totalSectors32 = 32 + 2 * sectorsPerFat32 + clusters;
  const rest = {
    reservedSectors: 32,
    rootCluster: 2,
    fsInfoSector: 1,
    backupBootSector: 6,
    sectorsPerFat32,
    totalSectors32,
  };
  return { ...plain, layout: 'fat32', ...rest, ...changes };
}

test.each([
  [1, 12],
  [4084, 12],
  [4085, 16],
  [65524, 16],
  [65525, 32],
  [0x0ffffff5, 32],
])('%i clusters are FAT%i', (clusters, bits) => expect(typeByClusters(clusters)).toBe(bits));

test.each([
  [fat16(4084), 12],
  [fat16(4085), 16],
  [fat16(65524), 16],
  [fat32(65525), 32],
])('a volume at a limit', (boot, bits) => {
  const { geometry, problems } = geometryOf(boot);
  expect(problems).toEqual([]);
  expect(geometry?.bits).toBe(bits);
});

test('a layout that the count contradicts is told; with too few clusters for FAT32 it can still be looked into', () => {
  expect(geometryOf(fat16(65525))).toMatchObject({
    geometry: undefined,
    problems: [expect.stringContaining('65525')],
  });
  const few = geometryOf(fat32(65524));
  expect(few.problems).toEqual([expect.stringContaining('too few')]);
  expect(few.geometry?.bits).toBe(32);
});

test('a FAT must have an entry for every cluster: one sector too few is told, exactly enough is not', () => {
  // 254 clusters and two reserved entries fill one sector of FAT16 entries; FAT12 has room to spare.
  const exactly = fat16(4094, { sectorsPerFat16: 16, totalSectors32: 1 + 32 + 32 + 4094 });
  expect(geometryOf(exactly).problems).toEqual([]);
  const over = fat16(4095, { sectorsPerFat16: 16, totalSectors32: 1 + 32 + 32 + 4095 });
  expect(geometryOf(over).problems).toEqual([expect.stringContaining('for 4094 clusters, but 4095')]);
});

test('offsets of a FAT16 volume: 1 reserved sector, FATs of 17, a root of 32', () => {
  const geometry = geometryOf(fat16(4100)).geometry!;
  expect(geometry).toMatchObject({
    sectorsPerFat: 17,
    rootSectors: 32,
    firstDataSector: 67,
    lastCluster: 4101,
  });
  expect(fatOffsetBytes(geometry, 0)).toBe(512);
  expect(fatOffsetBytes(geometry, 1)).toBe(18 * 512);
  expect(rootOffsetBytes(geometry)).toBe(35 * 512);
  expect(clusterOffsetBytes(geometry, 2)).toBe(67 * 512);
  expect(clusterOffsetBytes(geometry, 4101)).toBe((67 + 4099) * 512);
  expect(usedFatBytes(geometry)).toBe(4102 * 2);
});

test('an active FAT counts only where mirroring is off', () => {
  expect(geometryOf(fat32(70_000, { extendedFlags: 0x0001 })).geometry?.activeFat).toBe(0);
  expect(geometryOf(fat32(70_000, { extendedFlags: 0x0081 })).geometry?.activeFat).toBe(1);
  expect(geometryOf(fat32(70_000, { extendedFlags: 0x0082 })).problems).not.toEqual([]);
});

test('every extreme of every number gives problems or a geometry within the volume, never an exception', () => {
  const extremes = [0, 1, 2, 3, 127, 128, 255, 256, 511, 512, 4096, 32768, 65535, 0x7fffffff, 0xffffffff];
  const fields = Object.keys(plain).filter((key) => typeof plain[key as keyof BootSector] === 'number');
  let sound = 0;
  for (const base of [fat16(4100), fat16(100), fat32(70_000)]) {
    for (const first of fields) {
      for (const second of fields) {
        for (const a of extremes) {
          const sector = new Uint8Array(512);
          encodeBootSector(
            { ...base, [first]: a, [second]: extremes[(a + 5) % extremes.length] ?? 0 },
            sector,
          );
          const { geometry, problems } = geometryOf(decodeBootSector(sector));
          if (geometry === undefined) expect(problems.length).toBeGreaterThan(0);
          else {
            sound++;
            const last = clusterOffsetBytes(geometry, geometry.lastCluster) + geometry.clusterBytes;
            expect(last).toBeLessThanOrEqual(geometry.totalSectors * geometry.bytesPerSector);
            expect(usedFatBytes(geometry)).toBeLessThanOrEqual(
              geometry.sectorsPerFat * geometry.bytesPerSector,
            );
          }
        }
      }
    }
  }
  expect(sound).toBeGreaterThan(1000);
});

test('what divides a boot sector from a table: jump, sector, cluster, FATs, media, length', () => {
  expect(isPlausibleBootSector(fat16(4100))).toBe(true);
  expect(isPlausibleBootSector(fat16(4100, { jump0: 0xe9, jump2: 0 }))).toBe(true);
  expect(isPlausibleBootSector(fat16(4100, { jump2: 0x91 }))).toBe(true);
  const changes: Partial<BootSector>[] = [
    { jump0: 0x33 },
    { bytesPerSector: 0 },
    { sectorsPerCluster: 3 },
    { reservedSectors: 0 },
    { fatCount: 0 },
    { media: 0x12 },
    { totalSectors32: 0 },
  ];
  for (const change of changes) expect(isPlausibleBootSector(fat16(4100, change))).toBe(false);
});
