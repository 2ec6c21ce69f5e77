// Looks into one exFAT volume: both boot regions with their checksums, the flags, the allocation bitmap, the up-case table,
// all folders and chains (exFAT file system specification). Everything that is wrong becomes a finding; where the numbers
// give no volume, nothing behind them is guessed at. Knows no card rule, and writes nothing.

import type { BlockReader } from '../../ports/blocks.ts';
import type { Finding } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import { finding } from '../check/finding-codes.ts';
import { clusterOffsetBytes, firstCluster } from '../cluster-geometry.ts';
import { type Allocation, decodeExfatFolder, type ExfatSlots } from '../exfat/entry-set.ts';
import {
  bootChecksum,
  bootRegionSectors,
  type ExfatBoot,
  type ExfatGeometry,
  exfatFlags,
  exfatGeometryOf,
  percentUnknown,
} from '../exfat/exfat-boot.ts';
import { entryBytes } from '../exfat/exfat-entry.ts';
import { decodeUpCase, plainUpCase, type UpCaseTable, upCaseChecksum } from '../exfat/up-case-table.ts';
import { readUpTo } from './clamped-read.ts';
import { damagedFolder } from './damaged-folder.ts';
import type { ExaminedVolume, Partition } from './examined-card.ts';
import { ExfatClusters, exfatMarks } from './exfat-clusters.ts';
import { type ExfatContent, readExfatSlots, readExfatTree } from './read-exfat-tree.ts';
import { rootFolder } from './tree-node.ts';
import { backupDiffers, flagFindings, lostClusters } from './volume-findings.ts';

/** More are not looked into: two maps of 32 MiB. At 128 KiB a cluster that is a card of 32 TiB. */
const maxClusters = 2 ** 28;
/** Section 7.2.5: 65,536 letters at most. */
const maxUpCaseBytes = 2 * 65_536;

const fresh = 'Take another card, or lay this one out anew.';

export function examineExfat(
  blocks: BlockReader,
  boot: ExfatBoot,
  bootBytes: Uint8Array,
  startBytes: number,
  partition: Partition | null,
): ExaminedVolume {
  const { geometry, problems } = exfatGeometryOf(boot, bootBytes);
  const bad = [...problems];
  if (geometry !== undefined && geometry.clusterCount > maxClusters)
    bad.push(`${formatBytes(geometry.clusterCount)} clusters, more than ${formatBytes(maxClusters)}`);
  const regions = geometry && readRegions(blocks, startBytes, geometry);
  if (regions?.mainIsSound === false && problems.length === 0)
    bad.push('a wrong checksum of the boot region');
  const findings: Finding[] = bad.length === 0 ? [] : [badBootSector(bad, partition)];
  const length = geometry && { volumeBytes: geometry.volumeBytes, bytesPerSector: geometry.bytesPerSector };
  if (geometry === undefined || geometry.clusterCount > maxClusters)
    return { volume: null, fileSystem: 'exfat', length, findings };

  if (regions?.backupAgrees === false)
    findings.push(
      backupDiffers(`sectors ${bootRegionSectors} to ${2 * bootRegionSectors - 1} of the volume`),
    );
  const set = (flag: number) => ({ fat: false, boot: (boot.volumeFlags & flag) !== 0 });
  findings.push(...flagFindings(set(exfatFlags.dirty), set(exfatFlags.mediaFailure)));

  const clusters = new ExfatClusters(blocks, startBytes, geometry);
  const content: ExfatContent = { blocks, startBytes, geometry, clusters };
  const root = rootFolder(geometry);
  const rootChain = clusters.follow({ firstCluster: geometry.rootCluster, noFatChain: false });
  root.runs = rootChain.runs;
  root.clusterCount = rootChain.clusterCount;
  root.chain = rootChain.state;
  if (rootChain.state !== 'sound')
    findings.push(damagedFolder(root, ['the chain of its clusters is broken']));
  const { bytes, cut } = readExfatSlots(blocks, startBytes, geometry, root.runs);
  root.slotCount = Math.floor(bytes.length / entryBytes);
  const first = decodeExfatFolder(bytes, true, plainUpCase());
  const upCase = readUpCase(content, first, root);
  findings.push(...upCase.findings);
  const slots = decodeExfatFolder(bytes, true, upCase.table);
  const bitmap = readBitmap(content, slots, boot);
  findings.push(...bitmap.findings);
  const tree = readExfatTree(content, upCase.table, root, { slots, cut });
  findings.push(...tree.findings);
  const counts = countClusters(bitmap.bytes, clusters.marks, geometry.clusterCount);
  const badClusters = countBad(clusters, bitmap.bytes, counts.lost);
  const lost = counts.lost - badClusters;
  const isWhole = tree.complete && bitmap.findings.length === 0;
  if (counts.unmarked > 0 && bitmap.findings.length === 0)
    findings.push(
      bitmapWrong(
        `${formatBytes(counts.unmarked)} clusters in use are marked as free`,
        'the allocation bitmap',
      ),
    );
  if (lost > 0 && isWhole) findings.push(lostClusters(lost));
  findings.push(...shareFindings(boot, geometry, counts.free));
  return {
    volume: {
      kind: 'exfat',
      partition,
      startBytes,
      boot,
      geometry,
      bitmap: bitmap.bytes,
      freeClusters: counts.free,
      badClusters,
      lostClusters: lost,
      label: tree.label,
      volumeId: volumeIdText(boot),
      root: tree.root,
      nodes: tree.nodes,
      treeComplete: tree.complete && rootChain.state === 'sound',
    },
    fileSystem: 'exfat',
    length,
    findings,
  };
}

/** Section 3.4: the last sector of a region repeats its checksum. Flags and share in use may differ in the backup. */
function readRegions(
  blocks: BlockReader,
  startBytes: number,
  { bytesPerSector }: ExfatGeometry,
): { readonly mainIsSound: boolean; readonly backupAgrees: boolean } {
  const regionBytes = bootRegionSectors * bytesPerSector;
  const [main, backup] = [0, 1].map((region) =>
    readUpTo(blocks, startBytes + region * regionBytes, regionBytes),
  );
  const isSound = (region: Uint8Array | undefined): boolean => {
    if (region?.length !== regionBytes) return false;
    const stated = new DataView(region.buffer, (bootRegionSectors - 1) * bytesPerSector);
    const sum = bootChecksum(region, bytesPerSector);
    for (let at = 0; at < bytesPerSector; at += 4) if (stated.getUint32(at, true) !== sum) return false;
    return true;
  };
  const same = main?.every((byte, at) => byte === backup?.[at] || at === 106 || at === 107 || at === 112);
  return { mainIsSound: isSound(main), backupAgrees: isSound(backup) && same === true };
}

function badBootSector(problems: readonly string[], partition: Partition | null): Finding {
  return finding('boot-sector-bad', {
    summary: 'The boot sector of the card is bad: it states what cannot be.',
    seen: problems.slice(0, 4).join('; '),
    expected: 'a boot sector that describes an exFAT volume',
    where: partition === null ? 'sector 0' : `partition ${partition.number}, its first sector`,
    next: fresh,
  });
}

/** The bytes of a table of the volume's own; undefined where its clusters or the card do not give them. */
function readWhole(
  { blocks, startBytes, geometry, clusters }: ExfatContent,
  allocation: Allocation,
): Uint8Array | undefined {
  const chain = clusters.follow(allocation);
  const needed = Math.ceil(allocation.dataLength / geometry.clusterBytes);
  if (chain.state !== 'sound' || chain.clusterCount !== needed) return undefined;
  const bytes = new Uint8Array(allocation.dataLength);
  let at = 0;
  for (const run of chain.runs) {
    const length = Math.min(bytes.length - at, run.clusterCount * geometry.clusterBytes);
    const part = readUpTo(blocks, startBytes + clusterOffsetBytes(geometry, run.firstCluster), length);
    if (part.length < length) return undefined;
    bytes.set(part, at);
    at += length;
  }
  return bytes;
}

function readUpCase(
  content: ExfatContent,
  { upCases }: ExfatSlots,
  root: Parameters<typeof damagedFolder>[0],
): { readonly table: UpCaseTable; readonly findings: readonly Finding[] } {
  const no = (problem: string) => ({
    table: plainUpCase(),
    findings: [damagedFolder(root, [`${problem}, by which names are compared`])],
  });
  const [entry] = upCases;
  if (entry === undefined || upCases.length > 1) return no(`${upCases.length} up-case tables`);
  if (entry.dataLength === 0 || entry.dataLength > maxUpCaseBytes)
    return no(`an up-case table of ${formatBytes(entry.dataLength)} bytes`);
  const bytes = readWhole(content, entry);
  if (bytes === undefined) return no('an up-case table that cannot be read');
  if (upCaseChecksum(bytes) !== entry.checksum) return no('an up-case table with a wrong checksum');
  const table = decodeUpCase(bytes);
  return table === undefined ? no('an up-case table that cannot be') : { table, findings: [] };
}

function bitmapWrong(seen: string, where: string): Finding {
  return finding('bitmap-wrong', {
    summary: 'The card’s table of free space is wrong: what is written next may overwrite files.',
    seen,
    where,
    next: fresh,
  });
}

/** Where it cannot be read, everything counts as taken: no room is promised. */
function readBitmap(
  content: ExfatContent,
  { bitmaps }: ExfatSlots,
  { fatCount, volumeFlags }: ExfatBoot,
): { readonly bytes: Uint8Array; readonly findings: readonly Finding[] } {
  const neededBytes = Math.ceil(content.geometry.clusterCount / 8);
  const no = (seen: string) => ({
    bytes: new Uint8Array(neededBytes).fill(0xff),
    findings: [bitmapWrong(seen, 'the root folder')],
  });
  // Section 7.1: one for each FAT. Every one of them has its clusters, whichever is in use.
  const read = bitmaps.slice(0, fatCount).map((entry) => {
    const fits =
      entry.dataLength >= neededBytes && entry.dataLength <= neededBytes + content.geometry.clusterBytes;
    return { entry, bytes: fits ? readWhole(content, entry) : undefined };
  });
  if (bitmaps.length !== fatCount)
    return no(`${formatBytes(bitmaps.length)} allocation bitmaps, where there are to be ${fatCount}`);
  const isSecond = (volumeFlags & exfatFlags.activeFat) !== 0;
  const active = read.filter(({ entry }) => entry.second === isSecond);
  const [only] = active;
  if (only === undefined || active.length > 1) return no(`${active.length} allocation bitmaps in use`);
  if (only.bytes === undefined)
    return no(`an allocation bitmap of ${formatBytes(only.entry.dataLength)} bytes that cannot be read`);
  return { bytes: only.bytes.subarray(0, neededBytes), findings: [] };
}

const bitsOf = Uint8Array.from({ length: 256 }, (_, byte) => {
  let count = 0;
  for (let rest = byte; rest !== 0; rest &= rest - 1) count++;
  return count;
});

interface Counts {
  readonly free: number;
  /** Taken, but by no walk. */
  readonly lost: number;
  /** Used by a walk, but marked as free. */
  readonly unmarked: number;
}

function countClusters(bitmap: Uint8Array, marks: Uint8Array, clusterCount: number): Counts {
  let taken = 0;
  let lost = 0;
  let unmarked = 0;
  for (let at = 0; at < marks.length; at++) {
    const isLast = at === marks.length - 1 && clusterCount % 8 !== 0;
    const there = isLast ? (1 << (clusterCount % 8)) - 1 : 0xff;
    const says = (bitmap[at] ?? 0) & there;
    const used = marks[at] ?? 0;
    taken += bitsOf[says] ?? 0;
    lost += bitsOf[says & ~used] ?? 0;
    unmarked += bitsOf[used & ~says & there] ?? 0;
  }
  return { free: clusterCount - taken, lost, unmarked };
}

/** Bad clusters are taken so that nobody uses them: they are not lost. So many are looked up at most. */
const mostLookedUp = 1_000_000;

function countBad(clusters: ExfatClusters, bitmap: Uint8Array, lost: number): number {
  if (lost === 0 || lost > mostLookedUp) return 0;
  let bad = 0;
  for (let at = 0; at < bitmap.length; at++) {
    const rest = (bitmap[at] ?? 0) & ~(clusters.marks[at] ?? 0);
    for (let bit = 0; rest >> bit !== 0 && bit < 8; bit++)
      if (((rest >> bit) & 1) === 1 && clusters.entry(at * 8 + bit + firstCluster) === exfatMarks.bad) bad++;
  }
  return bad;
}

/** Section 3.1.18: rounded down, and only a hint. */
function shareFindings(boot: ExfatBoot, { clusterCount }: ExfatGeometry, free: number): Finding[] {
  if (boot.percentInUse === percentUnknown) return [];
  const percent = Math.floor(((clusterCount - free) * 100) / clusterCount);
  // Systems write it when they feel like it; a hundredth more or less is no news.
  if (Math.abs(percent - boot.percentInUse) <= 1) return [];
  return [
    finding('free-count-wrong', {
      summary: 'The card’s own count of its free space is wrong; it is only a hint.',
      seen: `${boot.percentInUse} % in use`,
      expected: `${percent} %`,
      next: 'Nothing: it is only a hint.',
    }),
  ];
}

function volumeIdText(boot: ExfatBoot): string {
  const hex = boot.serialNumber.toString(16).toUpperCase().padStart(8, '0');
  return `${hex.slice(0, 4)}-${hex.slice(4)}`;
}
