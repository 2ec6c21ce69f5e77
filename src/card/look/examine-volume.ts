// Looks into one FAT volume: boot sector and its copy, FSInfo, the copies of the FAT, all folders and chains.
// Everything that is wrong becomes a finding; where the numbers give no volume, the findings say so and nothing
// behind them is guessed at. Knows no card rule.

import type { BlockReader } from '../../ports/blocks.ts';
import type { Finding } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import { finding } from '../check/finding-codes.ts';
import {
  type BootSector,
  bootSectorBytes,
  extendedSignatures,
  stateDirty,
  stateError,
  stateOffset,
} from '../fat/boot-sector.ts';
import { type FatGeometry, geometryOf, volumeBytes } from '../fat/fat-geometry.ts';
import { decodeFsInfo, type FsInfo, fsInfoSigned, fsInfoUnset } from '../fat/fs-info.ts';
import { readUpTo } from './clamped-read.ts';
import type { ExaminedVolume, FatVolume, Partition } from './examined-card.ts';
import { pieceBytes, type ReadFat, readFat } from './read-fat.ts';
import { readTree } from './read-tree.ts';
import { backupDiffers, flagFindings, lostClusters } from './volume-findings.ts';
import { type ChainMap, countClusters, maxRuns } from './walk-chain.ts';

/** More are not looked into: 256 MiB of FAT and 64 MiB of marks. At 32 KiB a cluster that is a card of 2 TiB. */
export const maxClusters = 2 ** 26;

const fresh = 'Run prepare with --fresh, which lays the card out anew, or take another card.';

export function examineVolume(
  blocks: BlockReader,
  boot: BootSector,
  bootBytes: Uint8Array,
  startBytes: number,
  partition: Partition | null,
): ExaminedVolume {
  const findings: Finding[] = [];
  const { geometry, problems } = geometryOf(boot);
  const bad = [...problems];
  if (geometry !== undefined && geometry.clusterCount > maxClusters) {
    bad.push(`${formatBytes(geometry.clusterCount)} clusters, more than ${formatBytes(maxClusters)}`);
  }
  const readable = geometry !== undefined && geometry.clusterCount <= maxClusters;
  const read = readable ? readFat(blocks, startBytes, geometry) : undefined;
  // FAT[0] repeats the media byte (section 4.1); readers that compare the two refuse the card.
  if (read !== undefined && read.media !== boot.media && problems.length === 0) {
    bad.push(`a media byte that is another one in the file allocation table`);
  }
  if (bad.length > 0) findings.push(badBootSector(bad, partition));
  const fileSystem = geometry === undefined ? null : (`fat${geometry.bits}` as const);
  const length = geometry && { volumeBytes: volumeBytes(geometry), bytesPerSector: geometry.bytesPerSector };
  if (geometry === undefined || read === undefined) return { volume: null, fileSystem, length, findings };

  const marks = new Uint8Array(geometry.clusterCount + 2);
  const { bits, lastCluster } = geometry;
  const map: ChainMap = { bits, entries: read.entries, lastCluster, marks, runsLeft: maxRuns };
  const tree = readTree(blocks, startBytes, geometry, map);
  const count = countClusters(map, read.blankPieces, pieceBytes);
  const state = extendedSignatures.includes(boot.extendedSignature) ? boot.state : 0;
  const dirty = { fat: read.dirty, boot: (state & stateDirty) !== 0 };
  const error = { fat: read.error, boot: (state & stateError) !== 0 };
  const fsInfo = readFsInfo(blocks, boot, startBytes, geometry);
  if (!backupAgrees(blocks, boot, bootBytes, startBytes, geometry))
    findings.push(backupDiffers(`sector ${boot.backupBootSector} of the volume`));
  findings.push(...flagFindings(dirty, error), ...copyFindings(read), ...tree.findings);
  if (count.lost > 0 && tree.complete) findings.push(lostClusters(count.lost));
  if (fsInfo !== null) findings.push(...freeCountFindings(fsInfo, count.free));
  const volume: FatVolume = {
    kind: 'fat',
    partition,
    startBytes,
    boot,
    bootBytes,
    geometry,
    fsInfo,
    fat: read.fat,
    entries: read.entries,
    marks,
    freeClusters: count.free,
    badClusters: count.bad,
    lostClusters: count.lost,
    copiesAgree: read.differsAt === undefined,
    dirty,
    error,
    label: tree.label ?? bootLabel(boot),
    volumeId: volumeIdText(boot),
    root: tree.root,
    nodes: tree.nodes,
    treeComplete: tree.complete,
  };
  return { volume, fileSystem, length, findings };
}

function badBootSector(problems: readonly string[], partition: Partition | null): Finding {
  return finding('boot-sector-bad', {
    summary: 'The boot sector of the card is bad: it states what cannot be.',
    seen: problems.slice(0, 4).join('; '),
    expected: 'a boot sector that describes a FAT volume',
    where: partition === null ? 'sector 0' : `partition ${partition.number}, its first sector`,
    next: fresh,
  });
}

/** FAT32 alone has it; null where its place or its signatures are none: then there is no count to compare. */
function readFsInfo(
  blocks: BlockReader,
  boot: BootSector,
  startBytes: number,
  geometry: FatGeometry,
): FsInfo | null {
  const sector = boot.fsInfoSector;
  if (geometry.bits !== 32 || sector === 0 || sector >= geometry.reservedSectors) return null;
  const bytes = readUpTo(blocks, startBytes + sector * geometry.bytesPerSector, 512);
  const info = decodeFsInfo(bytes);
  return bytes.length === 512 && fsInfoSigned(info) ? info : null;
}

/** The copy of the boot sector, its dirty bit aside: systems set that in the first alone. */
function backupAgrees(
  blocks: BlockReader,
  boot: BootSector,
  bootBytes: Uint8Array,
  startBytes: number,
  geometry: FatGeometry,
): boolean {
  const sector = boot.backupBootSector;
  if (geometry.bits !== 32 || sector === 0 || sector === 0xffff) return true;
  if (sector >= geometry.reservedSectors) return false;
  const copy = readUpTo(blocks, startBytes + sector * geometry.bytesPerSector, bootSectorBytes);
  const skip = stateOffset(boot);
  return copy.length === bootBytes.length && copy.every((byte, i) => i === skip || byte === bootBytes[i]);
}

function copyFindings(read: ReadFat): Finding[] {
  if (read.differsAt === undefined) return [];
  return [
    finding('fat-copies-differ', {
      summary: 'The two copies of the file allocation table differ.',
      seen: `first at cluster ${read.differsAt}`,
      expected: 'two equal copies',
      next: 'Run prepare with --fresh: it keeps what can be read and lays the card out anew.',
    }),
  ];
}

function freeCountFindings(info: FsInfo, free: number): Finding[] {
  if (info.freeClusters === fsInfoUnset || info.freeClusters === free) return [];
  return [
    finding('free-count-wrong', {
      summary: 'The card’s own count of its free space is wrong; it is only a hint.',
      seen: `${formatBytes(info.freeClusters)} clusters`,
      expected: `${formatBytes(free)} clusters`,
      next: 'Nothing: prepare sets it right.',
    }),
  ];
}

function bootLabel(boot: BootSector): string | null {
  if (boot.extendedSignature !== 0x29) return null;
  const text = boot.label.replace(/[ \u0000]+$/, '');
  return text === '' || text === 'NO NAME' ? null : text;
}

function volumeIdText(boot: BootSector): string | null {
  if (!extendedSignatures.includes(boot.extendedSignature)) return null;
  const hex = boot.volumeId.toString(16).toUpperCase().padStart(8, '0');
  return `${hex.slice(0, 4)}-${hex.slice(4)}`;
}
