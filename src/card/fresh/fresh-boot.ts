// The sectors of a new layout that say what it is: boot sector, FSInfo, MBR, and the two ids in them. From the
// geometry alone; where they go and when is planned in `fresh-layout.ts`.

import { sha256Hex } from '../../bytes/sha256.ts';
import type { Release } from '../../manifest/schema.ts';
import { firstCluster } from '../cluster-geometry.ts';
import { type BootSector, bootSignature, encodeBootSector } from '../fat/boot-sector.ts';
import { encodeFsInfo, fsInfoLead, fsInfoStruct, fsInfoTrail, fsInfoUnset } from '../fat/fs-info.ts';
import { chsAddress, chsHeads, chsReachSectors, chsSectorsPerTrack } from '../table/chs-address.ts';
import { emptyMbrEntry, encodeMbr, mbrSignature, statusActive, statusInactive } from '../table/mbr.ts';
import { type FreshGeometry, fat16RootEntries, fatCopies } from './fresh-geometry.ts';

export const freshMedia = 0xf8;
export const backupBootSector = 6;
export const fsInfoSector = 1;
/** FAT specification, section 3.1: the name that the fewest readers stumble over. */
const oemName = 'MSWIN4.1';
const noLabel = 'NO NAME    ';
const hardDrive = 0x80;
const fullBootSignature = 0x29;
/** int 18h (try the next device), then halt: the card starts no computer. */
const bootCode = [0xcd, 0x18, 0xf4, 0xeb, 0xfd];
/** Types by length and reach, as the SD specification's part 2 gives them: 04, 06, 0B, 0C (0E beyond CHS). */
const smallFat16Sectors = 65_536;

/**
 * Volume id and disk signature: bytes 0 to 3 and 4 to 7 of SHA-256 over the UTF-8 text
 * `PRODUCT@VERSION`, line feed, the card's size in bytes (decimal), line feed, the card's name, line feed.
 * They go onto the card in that order, so as numbers they are little-endian.
 */
export function freshIds(
  release: Pick<Release, 'product' | 'version'>,
  cardBytes: number,
  cardName: string,
): { readonly volumeId: number; readonly diskSignature: number } {
  const hex = sha256Hex(`${release.product}@${release.version}\n${cardBytes}\n${cardName}\n`);
  const littleEndian = (from: number) =>
    Number.parseInt([3, 2, 1, 0].map((byte) => hex.slice(from + 2 * byte, from + 2 * byte + 2)).join(''), 16);
  return { volumeId: littleEndian(0), diskSignature: littleEndian(8) };
}

export function bootSectorOf(geometry: FreshGeometry, volumeId: number, state: number): Uint8Array {
  const fat32 = geometry.fileSystem === 'fat32';
  const short = geometry.volumeSectors < 2 ** 16 && !fat32;
  const boot: BootSector = {
    layout: geometry.fileSystem,
    jump0: 0xeb,
    jump1: fat32 ? 0x58 : 0x3c,
    jump2: 0x90,
    oemName,
    bytesPerSector: geometry.sectorBytes,
    sectorsPerCluster: geometry.clusterSectors,
    reservedSectors: geometry.reservedSectors,
    fatCount: fatCopies,
    rootEntryCount: fat32 ? 0 : fat16RootEntries,
    totalSectors16: short ? geometry.volumeSectors : 0,
    media: freshMedia,
    sectorsPerFat16: fat32 ? 0 : geometry.fatSectors,
    sectorsPerTrack: chsSectorsPerTrack,
    heads: chsHeads,
    hiddenSectors: geometry.volumeStartSector,
    totalSectors32: short ? 0 : geometry.volumeSectors,
    sectorsPerFat32: fat32 ? geometry.fatSectors : 0,
    extendedFlags: 0,
    version: 0,
    rootCluster: fat32 ? firstCluster : 0,
    fsInfoSector: fat32 ? fsInfoSector : 0,
    backupBootSector: fat32 ? backupBootSector : 0,
    driveNumber: hardDrive,
    state,
    extendedSignature: fullBootSignature,
    volumeId,
    label: noLabel,
    typeText: fat32 ? 'FAT32   ' : 'FAT16   ',
    signature: bootSignature,
  };
  const sector = new Uint8Array(geometry.sectorBytes);
  encodeBootSector(boot, sector);
  sector.set(bootCode, boot.jump1 + 2);
  return sector;
}

export function mbrOf(geometry: FreshGeometry, diskSignature: number, active: boolean): Uint8Array {
  const last = geometry.volumeStartSector + geometry.volumeSectors - 1;
  const withinChs = last < chsReachSectors;
  const small = geometry.volumeSectors < smallFat16Sectors;
  const type =
    geometry.fileSystem === 'fat32' ? (withinChs ? 0x0b : 0x0c) : small ? 0x04 : withinChs ? 0x06 : 0x0e;
  const [from, to] = [chsAddress(geometry.volumeStartSector), chsAddress(last)];
  const entry = {
    status: active ? statusActive : statusInactive,
    firstHead: from.head,
    firstSectorCylinder: from.sectorCylinder,
    type,
    lastHead: to.head,
    lastSectorCylinder: to.sectorCylinder,
    startLba: geometry.volumeStartSector,
    lengthSectors: geometry.volumeSectors,
  };
  const sector = new Uint8Array(geometry.sectorBytes);
  const entries = [entry, emptyMbrEntry, emptyMbrEntry, emptyMbrEntry];
  encodeMbr({ diskSignature, signature: mbrSignature, entries }, sector);
  return sector;
}

export function fsInfoOf(geometry: FreshGeometry, usedClusters: number): Uint8Array {
  const sector = new Uint8Array(geometry.sectorBytes);
  const freeClusters = geometry.clusters - usedClusters;
  const info = {
    leadSignature: fsInfoLead,
    structSignature: fsInfoStruct,
    freeClusters,
    nextFree: freeClusters > 0 ? firstCluster + usedClusters : fsInfoUnset,
    trailSignature: fsInfoTrail,
  };
  encodeFsInfo(info, sector);
  return sector;
}
