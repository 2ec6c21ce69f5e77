// The boot sector of an exFAT volume and what its numbers amount to (exFAT file system specification, section 3). Decodes
// bytes and says what is wrong with them; reads no card. All offsets of the geometry are bytes from the volume's start.

import { decodeFields } from '../../bytes/fields.ts';
import { decodeText } from '../../bytes/text-field.ts';
import { type ClusterGeometry, firstCluster } from '../cluster-geometry.ts';

/** Section 3.1. */
export const exfatBootFields = {
  jump0: { offset: 0, width: 1 },
  jump1: { offset: 1, width: 1 },
  jump2: { offset: 2, width: 1 },
  partitionOffset: { offset: 64, width: 8 },
  volumeLength: { offset: 72, width: 8 },
  fatOffset: { offset: 80, width: 4 },
  fatLength: { offset: 84, width: 4 },
  clusterHeapOffset: { offset: 88, width: 4 },
  clusterCount: { offset: 92, width: 4 },
  rootCluster: { offset: 96, width: 4 },
  serialNumber: { offset: 100, width: 4 },
  revisionMinor: { offset: 104, width: 1 },
  revisionMajor: { offset: 105, width: 1 },
  volumeFlags: { offset: 106, width: 2 },
  bytesPerSectorShift: { offset: 108, width: 1 },
  sectorsPerClusterShift: { offset: 109, width: 1 },
  fatCount: { offset: 110, width: 1 },
  driveSelect: { offset: 111, width: 1 },
  percentInUse: { offset: 112, width: 1 },
  signature: { offset: 510, width: 2 },
} as const;

export type ExfatBoot = Readonly<Record<keyof typeof exfatBootFields, number>>;

const nameField = { offset: 3, length: 8 } as const;
/** Where FAT keeps its numbers: all zeros, so that no FAT reader takes the volume for its own (section 3.1.3). */
const mustBeZero = { offset: 11, length: 53 } as const;
const bootSignature = 0xaa55;

/** Section 3.1.13. */
export const exfatFlags = { activeFat: 0x0001, dirty: 0x0002, mediaFailure: 0x0004 } as const;
/** Of a main or backup boot region: boot sector, eight extended ones, OEM parameters, reserved, checksum. */
export const bootRegionSectors = 12;
/** `percentInUse` where it is not known. */
export const percentUnknown = 0xff;
/** Section 3.1.9. */
const mostClusters = 2 ** 32 - 11;

export interface ExfatGeometry extends ClusterGeometry {
  readonly bytesPerSector: number;
  /** Of the FAT that is kept up to date. */
  readonly fatOffsetBytes: number;
  readonly fatBytes: number;
  readonly rootCluster: number;
  readonly volumeBytes: number;
}

export interface ExfatGeometryResult {
  /** undefined where the numbers do not give one. */
  readonly geometry: ExfatGeometry | undefined;
  /** What is wrong, each a part of a sentence. */
  readonly problems: readonly string[];
}

export function decodeExfatBoot(bytes: Uint8Array): ExfatBoot {
  return decodeFields(exfatBootFields, bytes);
}

/** By its name: whether it is sound is another question. */
export function saysExfat(bytes: Uint8Array): boolean {
  return decodeText(bytes, nameField) === 'EXFAT   ';
}

/**
 * Section 3.4, over all sectors of a region but its last. `bytes`: the whole region. Flags and the share in use change
 * without it, so they are left out.
 */
export function bootChecksum(bytes: Uint8Array, bytesPerSector: number): number {
  let sum = 0;
  for (let at = 0; at < (bootRegionSectors - 1) * bytesPerSector; at++) {
    if (at === 106 || at === 107 || at === 112) continue;
    sum = (((sum & 1) << 31) | (sum >>> 1)) + (bytes[at] ?? 0);
    sum >>>= 0;
  }
  return sum;
}

/** The numbers come from the card: none is trusted. `bytes`: the boot sector, 512 bytes. */
export function exfatGeometryOf(boot: ExfatBoot, bytes: Uint8Array): ExfatGeometryResult {
  const problems: string[] = [];
  const no = (problem: string): void => {
    problems.push(problem);
  };
  const { bytesPerSectorShift, sectorsPerClusterShift, fatCount, clusterCount, rootCluster } = boot;
  if (bytesPerSectorShift < 9 || bytesPerSectorShift > 12) no(`sectors of 2^${bytesPerSectorShift} bytes`);
  if (sectorsPerClusterShift > 25 - bytesPerSectorShift)
    no(`clusters of 2^${sectorsPerClusterShift} sectors`);
  if (fatCount !== 1 && fatCount !== 2) no(`${fatCount} file allocation tables`);
  if (problems.length > 0) return { geometry: undefined, problems };

  const bytesPerSector = 2 ** bytesPerSectorShift;
  const clusterSectors = 2 ** sectorsPerClusterShift;
  const { fatOffset, fatLength, clusterHeapOffset, volumeLength } = boot;
  if (volumeLength > Number.MAX_SAFE_INTEGER / bytesPerSector) no('a length that no card has');
  if (volumeLength * bytesPerSector < 2 ** 20) no(`a length of ${volumeLength} sectors, less than 1 MiB`);
  if (fatOffset < 24) no(`a file allocation table at sector ${fatOffset}, within the boot regions`);
  if (fatLength * bytesPerSector < (clusterCount + firstCluster) * 4)
    no(`a file allocation table of ${fatLength} sectors, too short for ${clusterCount} clusters`);
  if (clusterHeapOffset < fatOffset + fatLength * fatCount) no('clusters that begin within its own tables');
  if (clusterCount === 0) no('no clusters');
  if (clusterCount > mostClusters) no(`${clusterCount} clusters`);
  if (clusterHeapOffset + clusterCount * clusterSectors > volumeLength)
    no('more clusters than its length has room for');
  if (rootCluster < firstCluster || rootCluster > clusterCount + 1)
    no(`a root folder at cluster ${rootCluster}, which does not exist`);
  if (problems.length > 0) return { geometry: undefined, problems };

  if (boot.jump0 !== 0xeb || boot.jump1 !== 0x76 || boot.jump2 !== 0x90) no('no jump at its beginning');
  if (boot.signature !== bootSignature) no('no signature 55 AA at its end');
  // Section 3.1.12: 1.00 is the one that there is; other readers refuse any other.
  if (boot.revisionMajor !== 1 || boot.revisionMinor !== 0)
    no(`revision ${boot.revisionMajor}.${boot.revisionMinor} of exFAT`);
  const zeros = bytes.subarray(mustBeZero.offset, mustBeZero.offset + mustBeZero.length);
  if (zeros.some((byte) => byte !== 0)) no('numbers where FAT has its own');
  // Section 3.1.16: for transactions alone. Other readers refuse it, or read the first table whichever is in use.
  if (fatCount === 2) no('two file allocation tables, which few readers take');
  const isSecond = (boot.volumeFlags & exfatFlags.activeFat) !== 0;
  if (isSecond && fatCount === 1) no('an active file allocation table that is not there');
  const active = isSecond && fatCount === 2 ? 1 : 0;
  return {
    geometry: {
      bytesPerSector,
      clusterBytes: bytesPerSector * clusterSectors,
      clusterCount,
      lastCluster: clusterCount + 1,
      dataOffsetBytes: clusterHeapOffset * bytesPerSector,
      fatOffsetBytes: (fatOffset + active * fatLength) * bytesPerSector,
      fatBytes: fatLength * bytesPerSector,
      rootCluster,
      volumeBytes: volumeLength * bytesPerSector,
    },
    problems,
  };
}
