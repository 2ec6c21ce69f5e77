// What the numbers of a boot sector amount to (Microsoft FAT specification, sections 3.5 and 4): the type by the
// count of clusters alone, and where the copies of the FAT, the root folder and every cluster lie. All offsets
// are bytes from the start of the volume. Says what is wrong with a boot sector; does not read the card.

import { type ClusterGeometry, firstCluster } from '../cluster-geometry.ts';
import type { BootSector } from './boot-sector.ts';
import { bootSignature, flagActiveFat, flagNoMirror } from './boot-sector.ts';
import { slotBytes } from './directory-entry.ts';

export type FatBits = 12 | 16 | 32;

/** Fewer clusters than this: FAT12; fewer than the second: FAT16; else FAT32. */
export const fat16FromClusters = 4085;
export const fat32FromClusters = 65525;
/** FAT32 entries have 28 bits, and the highest values are marks. */
export const fat32MaxClusters = 0x0ffffff5;

export interface FatGeometry extends ClusterGeometry {
  readonly bits: FatBits;
  readonly bytesPerSector: number;
  readonly sectorsPerCluster: number;
  readonly reservedSectors: number;
  readonly fatCount: number;
  readonly sectorsPerFat: number;
  /** 0 on FAT32. */
  readonly rootEntryCount: number;
  readonly rootSectors: number;
  readonly firstDataSector: number;
  readonly totalSectors: number;
  /** FAT32: where the root folder begins; else 0. */
  readonly rootCluster: number;
  /** The copy that is kept up to date; 0 where all are. */
  readonly activeFat: number;
}

export interface GeometryResult {
  /** undefined where the numbers do not give one. */
  readonly geometry: FatGeometry | undefined;
  /** What is wrong, each a part of a sentence; with a geometry the volume can still be looked into. */
  readonly problems: readonly string[];
}

export function typeByClusters(clusterCount: number): FatBits {
  if (clusterCount < fat16FromClusters) return 12;
  return clusterCount < fat32FromClusters ? 16 : 32;
}

export function fatOffsetBytes(geometry: FatGeometry, copy: number): number {
  return (geometry.reservedSectors + copy * geometry.sectorsPerFat) * geometry.bytesPerSector;
}

/** Bytes of one copy that hold entries of clusters that exist; the rest of its sectors is unused. */
export function usedFatBytes(geometry: FatGeometry): number {
  return Math.ceil(((geometry.clusterCount + firstCluster) * geometry.bits) / 8);
}

/** The fixed root folder of FAT12 and FAT16. */
export function rootOffsetBytes(geometry: FatGeometry): number {
  return fatOffsetBytes(geometry, geometry.fatCount);
}

export function volumeBytes(geometry: FatGeometry): number {
  return geometry.totalSectors * geometry.bytesPerSector;
}

/** Plausible enough to be a boot sector and not a table or noise: the numbers that every reader divides by. */
export function isPlausibleBootSector(boot: BootSector): boolean {
  return (
    // EB alone: what its third byte should be is told of the volume, and must not make a table of it.
    (boot.jump0 === 0xeb || boot.jump0 === 0xe9) &&
    isSectorSize(boot.bytesPerSector) &&
    isPowerOfTwo(boot.sectorsPerCluster) &&
    boot.reservedSectors > 0 &&
    boot.fatCount > 0 &&
    boot.fatCount <= 2 &&
    isMedia(boot.media) &&
    (boot.totalSectors16 > 0 || boot.totalSectors32 > 0)
  );
}

export function hasJump(boot: BootSector): boolean {
  return (boot.jump0 === 0xeb && boot.jump2 === 0x90) || boot.jump0 === 0xe9;
}

function isPowerOfTwo(value: number): boolean {
  return value > 0 && (value & (value - 1)) === 0;
}

function isSectorSize(bytes: number): boolean {
  return bytes === 512 || bytes === 1024 || bytes === 2048 || bytes === 4096;
}

function isMedia(media: number): boolean {
  return media === 0xf0 || media >= 0xf8;
}

/** Section 3: every rule that a reader may rely on. The numbers come from the card: none is trusted. */
export function geometryOf(boot: BootSector): GeometryResult {
  const problems: string[] = [];
  const no = (problem: string): void => {
    problems.push(problem);
  };
  const { bytesPerSector, sectorsPerCluster, reservedSectors, fatCount, rootEntryCount } = boot;
  if (!isSectorSize(bytesPerSector)) no(`${bytesPerSector} bytes a sector`);
  if (!isPowerOfTwo(sectorsPerCluster)) no(`${sectorsPerCluster} sectors a cluster`);
  if (reservedSectors === 0) no('no reserved sectors');
  if (fatCount < 1 || fatCount > 2) no(`${fatCount} copies of the file allocation table`);
  const totalSectors = boot.totalSectors16 || boot.totalSectors32;
  if (totalSectors === 0) no('a length of 0 sectors');
  const sectorsPerFat = boot.sectorsPerFat16 || boot.sectorsPerFat32;
  if (sectorsPerFat === 0) no('a file allocation table of 0 sectors');
  // Readers that take the one or the other number would find everything else in another place.
  if (boot.totalSectors16 > 0 && boot.totalSectors32 > 0 && boot.totalSectors16 !== boot.totalSectors32) {
    no('two different lengths');
  }
  if (boot.layout === 'fat32' && rootEntryCount !== 0) no('a fixed root folder on FAT32');
  if (problems.length > 0) return { geometry: undefined, problems };

  const rootSectors = Math.ceil((rootEntryCount * slotBytes) / bytesPerSector);
  const firstDataSector = reservedSectors + fatCount * sectorsPerFat + rootSectors;
  if (firstDataSector >= totalSectors) {
    return { geometry: undefined, problems: ['no room for files after its own tables'] };
  }
  const clusterCount = Math.floor((totalSectors - firstDataSector) / sectorsPerCluster);
  const layout32 = boot.layout === 'fat32';
  const byCount = typeByClusters(clusterCount);
  // A layout of one type with the cluster count of another: readers disagree about such a volume. It is looked
  // into by its layout (as most systems do), and told as bad.
  const bits: FatBits = layout32 ? 32 : byCount === 32 ? 16 : byCount;
  if (clusterCount === 0) no('no clusters');
  if (clusterCount > fat32MaxClusters) no(`${clusterCount} clusters, more than FAT32 can count`);
  if (layout32 && byCount !== 32) no(`the layout of FAT32 with ${clusterCount} clusters, too few for it`);
  if (!layout32 && byCount === 32) no(`the layout of FAT16 with ${clusterCount} clusters, too many for it`);
  const fatHolds = Math.floor((sectorsPerFat * bytesPerSector * 8) / bits);
  if (clusterCount + firstCluster > fatHolds) {
    no(
      `a file allocation table for ${Math.max(0, fatHolds - firstCluster)} clusters, but ${clusterCount} clusters`,
    );
  }
  if (!layout32 && rootEntryCount === 0) no('no room for a root folder');
  if (layout32 && !(boot.rootCluster >= firstCluster && boot.rootCluster <= clusterCount + 1)) {
    no(`a root folder at cluster ${boot.rootCluster}, which does not exist`);
  }
  if (problems.some((problem) => !problem.startsWith('the layout of')))
    return { geometry: undefined, problems };
  if (byCount === 32 && bits === 16) return { geometry: undefined, problems };

  const noMirror = layout32 && (boot.extendedFlags & flagNoMirror) !== 0;
  const activeFat = noMirror ? boot.extendedFlags & flagActiveFat : 0;
  if (activeFat >= fatCount) no(`an active file allocation table number ${activeFat + 1} of ${fatCount}`);
  if (!hasJump(boot)) no('no jump at its beginning');
  if (boot.signature !== bootSignature) no('no signature 55 AA at its end');
  if (!isMedia(boot.media)) no(`a media byte of ${boot.media.toString(16).toUpperCase().padStart(2, '0')}`);
  // Cards have no tracks and heads; what no disk ever had makes some readers stumble all the same.
  if (boot.sectorsPerTrack > 255) no(`${boot.sectorsPerTrack} sectors a track`);
  if (boot.heads > 256) no(`${boot.heads} heads`);
  if (layout32 && boot.totalSectors16 !== 0) no('a 16-bit length on FAT32');
  if (layout32 && boot.version !== 0) no(`version ${boot.version} of FAT32`);
  if ((rootEntryCount * slotBytes) % bytesPerSector !== 0) no('a root folder that ends within a sector');

  return {
    geometry: {
      bits,
      bytesPerSector,
      sectorsPerCluster,
      clusterBytes: bytesPerSector * sectorsPerCluster,
      reservedSectors,
      fatCount,
      sectorsPerFat,
      rootEntryCount,
      rootSectors,
      firstDataSector,
      totalSectors,
      clusterCount,
      lastCluster: clusterCount + 1,
      dataOffsetBytes: firstDataSector * bytesPerSector,
      rootCluster: layout32 ? boot.rootCluster : 0,
      activeFat: activeFat < fatCount ? activeFat : 0,
    },
    problems,
  };
}
