// A card laid out anew: every sector that is written, in stages, from the card rule, the card's size and the
// release alone. Equal inputs give equal sectors. First and last MiB are blanked first, free clusters are never
// written; sector 0 comes last, and until it is there nothing finds the volume. Reads nothing.

import type { CardRule, Release } from '../../manifest/schema.ts';
import { type ByteRun, type CardWrite, sectorStage, type WriteStage } from '../card-write.ts';
import { firstCluster } from '../cluster-geometry.ts';
import { stateDirty } from '../fat/boot-sector.ts';
import { type CardName, planCardName, shortNameKey } from '../fat/card-name.ts';
import { attribute } from '../fat/directory-entry.ts';
import { fatMarks, setFatEntry } from '../fat/fat.ts';
import { encodeDotSlots, encodeEntrySlots } from '../fat/folder-slots.ts';
import {
  backupBootSector,
  bootSectorOf,
  freshIds,
  freshMedia,
  fsInfoOf,
  fsInfoSector,
  mbrOf,
} from './fresh-boot.ts';
import { clustersNeeded, type FreshGeometry, fatCopies } from './fresh-geometry.ts';

export interface FreshRequest {
  readonly geometry: FreshGeometry;
  readonly rule: Pick<CardRule, 'shortNameOnly' | 'activePartition'>;
  readonly release: Pick<Release, 'product' | 'version' | 'issued' | 'image'>;
  readonly cardBytes: number;
  /** The name on the card's label; empty for a card image file. */
  readonly cardName: string;
}

export interface FreshLayout {
  readonly volumeId: number;
  readonly diskSignature: number;
  /** Blank, tables, image, open. What is written so far is marked as being written to. */
  readonly stages: readonly WriteStage[];
  /** Takes the mark away: after the read-back, and last of all. */
  readonly unguard: WriteStage;
}

const blankBytes = 2 ** 20;
const chunkBytes = 2 ** 20;

/** One copy of the FAT, chunk by chunk; folders take a cluster each, the image the run behind them. */
function* fatChunks(
  geometry: FreshGeometry,
  imageCluster: number,
  usedClusters: number,
): Iterable<Uint8Array> {
  const bits = geometry.fileSystem === 'fat16' ? 16 : 32;
  const { endMark } = fatMarks[bits];
  const lastUsed = firstCluster + usedClusters - 1;
  const entryOf = (cluster: number) => {
    if (cluster === 0) return endMark - 0xff + freshMedia;
    return cluster < imageCluster || cluster === lastUsed ? endMark : cluster + 1;
  };
  const entriesPerChunk = (chunkBytes * 8) / bits;
  const fatBytes = geometry.fatSectors * geometry.sectorBytes;
  for (let done = 0; done < fatBytes; done += chunkBytes) {
    const chunk = new Uint8Array(Math.min(chunkBytes, fatBytes - done));
    const first = (done / chunkBytes) * entriesPerChunk;
    for (let i = 0; i < entriesPerChunk && first + i <= lastUsed; i++) {
      setFatEntry(chunk, bits, i, entryOf(first + i));
    }
    yield chunk;
  }
}

interface FolderPlan {
  readonly cluster: number | undefined;
  readonly slots: Uint8Array;
}

/** Root first, then each folder on the way to the image; the image's entry is the last one's first. */
function folderPlans(request: FreshRequest, imageCluster: number): FolderPlan[] {
  const { image, issued } = request.release;
  const fat32 = request.geometry.fileSystem === 'fat32';
  const atMs = Date.parse(`${issued}T00:00:00Z`);
  const parts = image.folder === '' ? [] : image.folder.split('/');
  const rootCluster = fat32 ? firstCluster : undefined;
  const ownCluster = (depth: number) => (depth === 0 ? rootCluster : imageCluster - parts.length + depth - 1);
  return [...parts, image.name].map((name, depth) => {
    const isImage = depth === parts.length;
    const entry = encodeEntrySlots(requireName(name, isImage && request.rule.shortNameOnly), {
      attributes: isImage ? attribute.archive : attribute.folder,
      firstCluster: isImage ? imageCluster : (ownCluster(depth + 1) ?? 0),
      sizeBytes: isImage ? image.bytes : 0,
      atMs,
    });
    const cluster = ownCluster(depth);
    if (depth === 0 || cluster === undefined) return { cluster, slots: entry };
    const dots = encodeDotSlots(cluster, depth === 1 ? 0 : (ownCluster(depth - 1) ?? 0), atMs);
    return { cluster, slots: Uint8Array.from([...dots, ...entry]) };
  });
}

function requireName(name: string, shortNameOnly: boolean): CardName {
  const given = planCardName(name, shortNameOnly, new Set());
  if (given === undefined)
    throw new RangeError(`no entry name for ${shortNameKey(new TextEncoder().encode(name))}`);
  return given;
}

function padded(bytes: Uint8Array, lengthBytes: number): Uint8Array {
  const whole = new Uint8Array(lengthBytes);
  whole.set(bytes);
  return whole;
}

/** Everything from the reserved sectors to the last folder, in order; `fromSector` of the volume on. */
function* tableWrites(
  request: FreshRequest,
  boot: readonly Uint8Array[],
  plan: Placing,
): Iterable<CardWrite> {
  const { geometry } = request;
  const { sectorBytes } = geometry;
  const volumeBytes = geometry.volumeStartSector * sectorBytes;
  const reserved = new Uint8Array(geometry.reservedSectors * sectorBytes);
  boot.forEach((sector, index) => {
    reserved.set(sector, index * sectorBytes);
  });
  // A bare volume's boot sector is sector 0: it stays blank until everything else is on the card.
  const from = geometry.partitionTable === 'none' ? sectorBytes : 0;
  if (from < reserved.length) yield { offsetBytes: volumeBytes + from, bytes: reserved.subarray(from) };
  let offsetBytes = volumeBytes + reserved.length;
  for (let copy = 0; copy < fatCopies; copy++) {
    for (const bytes of fatChunks(geometry, plan.imageCluster, plan.usedClusters)) {
      yield { offsetBytes, bytes };
      offsetBytes += bytes.length;
    }
  }
  const rootBytes = geometry.rootSectors * sectorBytes;
  const clusterBytes = geometry.clusterSectors * sectorBytes;
  for (const folder of plan.folders) {
    const at =
      folder.cluster === undefined
        ? offsetBytes
        : plan.dataBytes + (folder.cluster - firstCluster) * clusterBytes;
    yield {
      offsetBytes: at,
      bytes: padded(folder.slots, folder.cluster === undefined ? rootBytes : clusterBytes),
    };
  }
}

interface Placing {
  readonly imageCluster: number;
  readonly usedClusters: number;
  readonly dataBytes: number;
  readonly folders: readonly FolderPlan[];
}

function placingOf(request: FreshRequest): Placing {
  const { geometry, release } = request;
  const folders = release.image.folder === '' ? 0 : release.image.folder.split('/').length;
  const usedClusters = clustersNeeded(geometry, { imageBytes: release.image.bytes, folders });
  const imageCluster = firstCluster + (geometry.fileSystem === 'fat32' ? 1 : 0) + folders;
  const dataSector =
    geometry.volumeStartSector +
    geometry.reservedSectors +
    fatCopies * geometry.fatSectors +
    geometry.rootSectors;
  return {
    imageCluster,
    usedClusters,
    dataBytes: dataSector * geometry.sectorBytes,
    folders: folderPlans(request, imageCluster),
  };
}

function blankWrites(cardBytes: number): CardWrite[] {
  const length = Math.min(blankBytes, cardBytes);
  const lastFrom = Math.max(length, cardBytes - blankBytes);
  const writes = [{ offsetBytes: 0, bytes: new Uint8Array(length) }];
  if (lastFrom < cardBytes)
    writes.push({ offsetBytes: lastFrom, bytes: new Uint8Array(cardBytes - lastFrom) });
  return writes;
}

export function planFreshLayout(request: FreshRequest): FreshLayout {
  const { geometry, release, cardBytes } = request;
  const { volumeId, diskSignature } = freshIds(release, cardBytes, request.cardName);
  const plan = placingOf(request);
  const { sectorBytes } = geometry;
  const guarded = bootSectorOf(geometry, volumeId, stateDirty);
  const clean = bootSectorOf(geometry, volumeId, 0);
  const boot: Uint8Array[] = [guarded];
  if (geometry.fileSystem === 'fat32') {
    const info = fsInfoOf(geometry, plan.usedClusters);
    boot[fsInfoSector] = info;
    boot[backupBootSector] = clean;
    boot[backupBootSector + 1] = info;
  }
  const clusterBytes = geometry.clusterSectors * sectorBytes;
  const imageRun: ByteRun = {
    offsetBytes: plan.dataBytes + (plan.imageCluster - firstCluster) * clusterBytes,
    lengthBytes: Math.ceil(release.image.bytes / clusterBytes) * clusterBytes,
  };
  const isMbr = geometry.partitionTable === 'mbr';
  const first = isMbr ? mbrOf(geometry, diskSignature, request.rule.activePartition) : guarded;
  const volumeBytes = geometry.volumeStartSector * sectorBytes;
  const tableBytes =
    ((isMbr ? 0 : -1) + geometry.reservedSectors + fatCopies * geometry.fatSectors + geometry.rootSectors) *
      sectorBytes +
    plan.folders.filter((folder) => folder.cluster !== undefined).length * clusterBytes;
  return {
    volumeId,
    diskSignature,
    stages: [
      sectorStage('blank', blankWrites(cardBytes)),
      {
        kind: 'sectors',
        name: 'tables',
        totalBytes: tableBytes,
        writes: () => tableWrites(request, boot, plan),
      },
      { kind: 'image', name: 'image', runs: [imageRun], imageBytes: release.image.bytes },
      sectorStage('open', [{ offsetBytes: 0, bytes: first }]),
    ],
    unguard: sectorStage('unguard', [{ offsetBytes: volumeBytes, bytes: clean }]),
  };
}
