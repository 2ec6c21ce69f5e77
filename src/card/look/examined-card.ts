// What one look at a card gives: its table, its volume, the FAT and every file and folder, as they were read.
// Only data and the arithmetic on it; nothing here says what a unit accepts, and nothing changes after the look.
// `prepare` plans from this, so it names the exact slot and the exact clusters of everything.

import type { Finding } from '../../words/finding.ts';
import { type ClusterGeometry, clusterOffsetBytes } from '../cluster-geometry.ts';
import type { ExfatBoot } from '../exfat/exfat-boot.ts';
import type { BootSector } from '../fat/boot-sector.ts';
import type { DirectoryEntry } from '../fat/directory-entry.ts';
import { slotBytes } from '../fat/directory-entry.ts';
import type { FatGeometry } from '../fat/fat-geometry.ts';
import { rootOffsetBytes } from '../fat/fat-geometry.ts';
import type { FsInfo } from '../fat/fs-info.ts';

export type TableKind = 'none' | 'mbr' | 'gpt';

/** What lies on the card or in its partition; null where nothing that is known. */
export type FileSystemName = 'fat12' | 'fat16' | 'fat32' | 'exfat' | 'ntfs' | 'ext2' | 'ext3' | 'ext4';

/** Names as people write them. */
export const fileSystemTitles: Readonly<Record<FileSystemName, string>> = {
  fat12: 'FAT12',
  fat16: 'FAT16',
  fat32: 'FAT32',
  exfat: 'exFAT',
  ntfs: 'NTFS',
  ext2: 'ext2',
  ext3: 'ext3',
  ext4: 'ext4',
};

export interface Partition {
  /** Its place in the table, from 1. */
  readonly number: number;
  /** In the card's logical sectors (`sectorBytes`). */
  readonly startLba: number;
  readonly lengthSectors: number;
  readonly startBytes: number;
  readonly lengthBytes: number;
  /** MBR: the active flag; GPT: false. */
  readonly active: boolean;
  /** MBR: the type byte. */
  readonly type?: number;
  /** GPT: the type GUID. */
  readonly typeGuid?: string;
  /** An extended partition: a chain of further tables, not looked into. */
  readonly extended: boolean;
  readonly beyondCard: boolean;
  readonly fileSystem: FileSystemName | null;
}

/** Clusters that follow each other on the card. */
export interface Run {
  readonly firstCluster: number;
  readonly clusterCount: number;
}

/** `short`: fewer clusters than its size takes; `long`: more. `broken`: leads to a free, bad or absent cluster. */
export type ChainState = 'sound' | 'short' | 'long' | 'broken' | 'loop' | 'cross-linked';

/** `litter`: an operating system left it; `keep`: litter that may hold a person's files, so copy before removing. */
export type LitterKind = 'no' | 'litter' | 'keep';

interface NodeFacts {
  /** From the root, with `/` between names: `FW/RILL40.FWU`. Raw: print it through `printable`. '' for the root. */
  readonly path: string;
  /** As a person sees it: the long name, else the short one with its case bits. */
  readonly name: string;
  /** The 8.3 form without case bits. */
  readonly shortName: string;
  readonly hasLongName: boolean;
  /** Byte 12 of the entry: shown in lower case without a long name. */
  readonly caseBits: number;
  /** The slot of its short entry in its folder, from 0; -1 for the root. */
  readonly slot: number;
  /** The first of its long-name slots, or `slot` where it has none. All from here to `slot` belong to it. */
  readonly firstSlot: number;
  readonly attributes: number;
  /** 0 where it has no clusters. */
  readonly firstCluster: number;
  /** As the entry says; 0 for folders. */
  readonly sizeBytes: number;
  /** The chain as far as it could be followed, each cluster once. */
  readonly runs: readonly Run[];
  readonly clusterCount: number;
  readonly chain: ChainState;
  readonly litter: LitterKind;
  /** Its entry is damaged (a bad name, a name that is there twice): told as `directory-damaged`. */
  readonly damaged: boolean;
}

export interface FileNode extends NodeFacts {
  readonly isFolder: false;
  readonly parent: FolderNode;
  /** exFAT: null. */
  readonly entry: DirectoryEntry | null;
  /** exFAT: bytes beyond these were never written, and read as zeros; absent where all were. */
  readonly validBytes?: number;
}

export interface FolderNode extends NodeFacts {
  readonly isFolder: true;
  /** null for the root. */
  readonly parent: FolderNode | null;
  /** null for the root, and on exFAT. */
  readonly entry: DirectoryEntry | null;
  /** In the order in which they stand on the card. */
  readonly children: readonly CardNode[];
  /** Slots that its space holds. */
  readonly slotCount: number;
  /** The first slot that was never used (`slotCount` where all were): entries may be appended from here. */
  readonly endSlot: number;
  /** Deleted slots before `endSlot`. */
  readonly deletedSlots: readonly number[];
  /** The slot of the volume label; only the root can have one. */
  readonly labelSlot: number | null;
}

export type CardNode = FileNode | FolderNode;

/** As its boot sector states it. */
export interface VolumeLength {
  readonly volumeBytes: number;
  readonly bytesPerSector: number;
}

/** A look into one volume. */
export interface ExaminedVolume {
  readonly volume: CardVolume | null;
  readonly fileSystem: FileSystemName | null;
  /** As far as the boot sector gives one, the volume or not. */
  readonly length: VolumeLength | undefined;
  readonly findings: readonly Finding[];
}

/** What every volume that can be looked into has, whatever its file system. */
interface VolumeFacts {
  /** null where the volume starts at sector 0 without a table. */
  readonly partition: Partition | null;
  /** Where it starts on the card; offsets of its geometry are from here. */
  readonly startBytes: number;
  readonly geometry: ClusterGeometry;
  readonly freeClusters: number;
  readonly badClusters: number;
  /** Taken, but by no file or folder. */
  readonly lostClusters: number;
  /** As people see it, without padding; null where there is none. */
  readonly label: string | null;
  /** `1A2B-3C4D`; null where the boot sector gives none. */
  readonly volumeId: string | null;
  readonly root: FolderNode;
  /** Every file and folder but the root, folders before what is in them. */
  readonly nodes: readonly CardNode[];
  /** false where damage or a limit hid a part of the folders. */
  readonly treeComplete: boolean;
}

export interface FatVolume extends VolumeFacts {
  readonly kind: 'fat';
  readonly boot: BootSector;
  /** The raw boot sector: 512 bytes. */
  readonly bootBytes: Uint8Array;
  readonly geometry: FatGeometry;
  /** FAT32 with a readable FSInfo sector; else null. */
  readonly fsInfo: FsInfo | null;
  /** One copy (the active one), as long as its clusters need, rounded up to whole sectors. */
  readonly fat: Uint8Array;
  /** All its entries by cluster number, raw: mask with `fatMarks`. May share memory with `fat`. */
  readonly entries: Uint16Array | Uint32Array;
  /** By cluster number: 1 where a file or folder of the tree uses it. */
  readonly marks: Uint8Array;
  readonly copiesAgree: boolean;
  /** Each bit where it was found set against the volume: in a copy of the FAT, in the boot sector. */
  readonly dirty: { readonly fat: boolean; readonly boot: boolean };
  readonly error: { readonly fat: boolean; readonly boot: boolean };
}

/** Read in full; written only by a system that has it mounted. */
export interface ExfatVolume extends VolumeFacts {
  readonly kind: 'exfat';
  readonly boot: ExfatBoot;
  /** Bit n - 2: cluster n is taken. As long as its clusters need. */
  readonly bitmap: Uint8Array;
}

export type CardVolume = FatVolume | ExfatVolume;

/** Files and folders alone: all that is seen of a card where it is mounted. */
export type FileTree = Pick<CardVolume, 'root' | 'nodes' | 'treeComplete'>;

export interface ExaminedCard {
  readonly sizeBytes: number;
  readonly sectorBytes: number;
  readonly partitionTable: TableKind;
  readonly diskSignature: number | null;
  readonly partitions: readonly Partition[];
  /** Of the partition that was looked into, or of the bare volume; null where nothing known was found. */
  readonly fileSystem: FileSystemName | null;
  /** null where there is no volume that can be looked into. */
  readonly volume: CardVolume | null;
  /** What is wrong with the card itself, whatever the unit. */
  readonly findings: readonly Finding[];
}

/** Where a slot of a folder lies on the card, in bytes. */
export function slotOffsetBytes(volume: FatVolume, folder: FolderNode, slot: number): number {
  const { geometry, startBytes } = volume;
  let rest = slot * slotBytes;
  if (folder.parent === null && geometry.bits !== 32) return startBytes + rootOffsetBytes(geometry) + rest;
  for (const run of folder.runs) {
    const runBytes = run.clusterCount * geometry.clusterBytes;
    if (rest < runBytes) return startBytes + clusterOffsetBytes(geometry, run.firstCluster) + rest;
    rest -= runBytes;
  }
  throw new RangeError(`slot ${slot} is beyond the folder ${folder.path}`);
}

/** All clusters of a file or folder in order. */
export function* clustersOf(node: { readonly runs: readonly Run[] }): Generator<number> {
  for (const run of node.runs) {
    for (let i = 0; i < run.clusterCount; i++) yield run.firstCluster + i;
  }
}

export function freeBytes(volume: CardVolume): number {
  return volume.freeClusters * volume.geometry.clusterBytes;
}
