// Where everything lies on a card that is laid out anew: which file system and table, cluster size, lengths of
// the FATs. Arithmetic alone, from the card rule and the card's size; equal inputs give equal geometry. FAT12,
// exFAT and GPT are not laid out here.

import type { CardRule } from '../../manifest/schema.ts';

export interface FreshGeometry {
  readonly fileSystem: 'fat16' | 'fat32';
  readonly partitionTable: 'mbr' | 'none';
  readonly sectorBytes: number;
  /** Whole sectors; a card image file may have a few bytes more. */
  readonly cardSectors: number;
  readonly volumeStartSector: number;
  readonly volumeSectors: number;
  readonly reservedSectors: number;
  readonly fatSectors: number;
  /** FAT16: the sectors of the root, which lies outside the clusters. 0 for FAT32. */
  readonly rootSectors: number;
  readonly clusterSectors: number;
  readonly clusters: number;
}

/** What the card must hold: the image, and the folders that lead to it. */
export interface FreshContent {
  readonly imageBytes: number;
  readonly folders: number;
}

export type FreshGeometryAnswer =
  | { readonly kind: 'fits'; readonly geometry: FreshGeometry }
  | { readonly kind: 'none-fits'; readonly why: readonly string[] };

export const firstPartitionSector = 8192;
export const fatCopies = 2;
export const fat16RootEntries = 512;

const slotBytes = 32;
const fat16ReservedSectors = 1;
const fat32ReservedSectors = 32;
const maxClusterSectors = 128;
const maxFat32ClusterBytes = 32 * 1024;
/** Formatters stay 16 clusters clear of the counts at which the type changes (4,085 and 65,525). */
const minFat16Clusters = 4101;
const maxFat16Clusters = 65_509;
const minFat32Clusters = 65_541;
/** Cluster numbers from 0x0FFFFFF7 on are marks (FAT specification, 3.5). */
const maxFat32Clusters = 0x0fff_fff5;
/** Sector counts of a volume and of an MBR entry are 32 bits wide. */
const maxSectors = 0xffff_ffff;

interface Frame {
  readonly partitionTable: 'mbr' | 'none';
  readonly sectorBytes: number;
  readonly cardSectors: number;
  readonly volumeStartSector: number;
  readonly volumeSectors: number;
}

/** The shortest FAT that has an entry for every cluster that it leaves room for. */
function fitFat(
  frame: Frame,
  fileSystem: 'fat16' | 'fat32',
  clusterSectors: number,
): FreshGeometry | undefined {
  const entryBytes = fileSystem === 'fat16' ? 2 : 4;
  const reservedSectors = fileSystem === 'fat16' ? fat16ReservedSectors : fat32ReservedSectors;
  const rootSectors =
    fileSystem === 'fat16' ? Math.ceil((fat16RootEntries * slotBytes) / frame.sectorBytes) : 0;
  const free = frame.volumeSectors - reservedSectors - rootSectors;
  const clustersWith = (fatSectors: number) => Math.floor((free - fatCopies * fatSectors) / clusterSectors);
  const suffices = (fatSectors: number) =>
    fatSectors * frame.sectorBytes >= (clustersWith(fatSectors) + 2) * entryBytes;
  let below = 0;
  let enough = Math.max(1, Math.ceil(free / fatCopies));
  while (enough - below > 1) {
    const middle = Math.floor((below + enough) / 2);
    if (suffices(middle)) enough = middle;
    else below = middle;
  }
  const clusters = clustersWith(enough);
  if (clusters < 1) return undefined;
  return { fileSystem, ...frame, reservedSectors, fatSectors: enough, rootSectors, clusterSectors, clusters };
}

function clusterSizes(sectorBytes: number, limitBytes: number): number[] {
  const sizes: number[] = [];
  for (let sectors = 1; sectors <= maxClusterSectors && sectors * sectorBytes <= limitBytes; sectors *= 2) {
    sizes.push(sectors);
  }
  return sizes;
}

/** FAT16 takes the smallest cluster that keeps the count within its limits, FAT32 the largest up to 32 KiB. */
function fitVolume(
  frame: Frame,
  fileSystem: 'fat16' | 'fat32',
  maxClusterBytes: number,
): FreshGeometry | undefined {
  const limitBytes =
    fileSystem === 'fat16' ? maxClusterBytes : Math.min(maxClusterBytes, maxFat32ClusterBytes);
  const sizes = clusterSizes(frame.sectorBytes, limitBytes);
  const [least, most] =
    fileSystem === 'fat16' ? [minFat16Clusters, maxFat16Clusters] : [minFat32Clusters, maxFat32Clusters];
  for (const clusterSectors of fileSystem === 'fat16' ? sizes : sizes.reverse()) {
    const geometry = fitFat(frame, fileSystem, clusterSectors);
    if (geometry !== undefined && geometry.clusters >= least && geometry.clusters <= most) return geometry;
  }
  return undefined;
}

function frameOf(table: string, cardSectors: number, sectorBytes: number): Frame | string {
  if (table !== 'mbr' && table !== 'none') return `a ${table} table is not laid out by this version`;
  const volumeStartSector = table === 'mbr' ? firstPartitionSector : 0;
  const volumeSectors = cardSectors - volumeStartSector;
  if (volumeSectors < 1) return 'the card ends before its first partition would begin';
  if (volumeSectors > maxSectors)
    return `the card is longer than ${table === 'mbr' ? 'an MBR' : 'a FAT volume'} can say`;
  return { partitionTable: table, sectorBytes, cardSectors, volumeStartSector, volumeSectors };
}

export function clustersNeeded(geometry: FreshGeometry, content: FreshContent): number {
  const clusterBytes = geometry.clusterSectors * geometry.sectorBytes;
  const rootClusters = geometry.fileSystem === 'fat32' ? 1 : 0;
  return rootClusters + content.folders + Math.ceil(content.imageBytes / clusterBytes);
}

/** The first file system of the rule, with the first table of the rule, that this card can be given. */
export function planFreshGeometry(
  rule: Pick<CardRule, 'fileSystems' | 'partitionTables' | 'maxClusterBytes'>,
  cardBytes: number,
  sectorBytes: number,
  content: FreshContent,
): FreshGeometryAnswer {
  const cardSectors = Math.floor(cardBytes / sectorBytes);
  const why = new Set<string>();
  for (const fileSystem of rule.fileSystems) {
    if (fileSystem !== 'fat16' && fileSystem !== 'fat32') {
      why.add(`${fileSystem} is not laid out by this version`);
      continue;
    }
    for (const table of rule.partitionTables) {
      const frame = frameOf(table, cardSectors, sectorBytes);
      if (typeof frame === 'string') {
        why.add(frame);
        continue;
      }
      const geometry = fitVolume(frame, fileSystem, rule.maxClusterBytes);
      if (geometry === undefined) {
        why.add(`no cluster size that the rule allows gives a ${fileSystem} volume on a card of this size`);
      } else if (clustersNeeded(geometry, content) > geometry.clusters) {
        why.add(`a ${fileSystem} volume on this card has no room for the firmware file`);
      } else {
        return { kind: 'fits', geometry };
      }
    }
  }
  return { kind: 'none-fits', why: [...why] };
}
