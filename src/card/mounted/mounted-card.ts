// One look at a card where it is mounted: what the system's table of drives says of it, what the mount says, and its
// files. Facts only; what could not be known from there is null, and nobody takes null for a good answer.

import type { Drive, DrivePart } from '../../ports/drives.ts';
import type { MountedVolume, VolumeFacts } from '../../ports/volumes.ts';
import type { FileSystemName, TableKind } from '../look/examined-card.ts';
import { type MountedTree, readMountedTree } from './read-mounted-tree.ts';

export interface MountedCard {
  readonly mountPoint: string;
  readonly sizeBytes: number;
  readonly partitionTable: TableKind | null;
  readonly partitions: number;
  readonly fileSystem: FileSystemName | null;
  /** As the system calls it, where it is none of those. */
  readonly fileSystemSaid: string | null;
  readonly label: string | null;
  readonly volumeId: string | null;
  readonly clusterBytes: number;
  readonly clusterCount: number;
  readonly freeBytes: number;
  readonly readOnly: boolean;
  readonly facts: VolumeFacts;
  readonly tree: MountedTree;
}

const known: readonly string[] = ['fat12', 'fat16', 'fat32', 'exfat', 'ntfs', 'ext2', 'ext3', 'ext4'];

/** Microsoft FAT specification, section 3.5: the number of clusters alone tells. */
function fatByCount(clusterCount: number): FileSystemName {
  return clusterCount < 4085 ? 'fat12' : clusterCount < 65_525 ? 'fat16' : 'fat32';
}

function fileSystemOf(said: string | null, { clusterCount }: VolumeFacts): FileSystemName | null {
  if (said === 'vfat' || said === 'msdos') return fatByCount(clusterCount);
  return said !== null && known.includes(said) ? (said as FileSystemName) : null;
}

function tableOf(drive: Drive, part: DrivePart): TableKind | null {
  if (drive.partitionTable === 'dos') return 'mbr';
  if (drive.partitionTable === 'gpt') return 'gpt';
  return drive.partitionTable === null && part.device === drive.device ? 'none' : null;
}

export function lookAtMounted(volume: MountedVolume, drive: Drive, part: DrivePart): MountedCard {
  const facts = volume.facts();
  const said = part.fileSystem ?? facts.fileSystem;
  const fileSystem = fileSystemOf(said, facts);
  const partitionTable = tableOf(drive, part);
  return {
    mountPoint: volume.mountPoint,
    sizeBytes: drive.sizeBytes ?? 0,
    partitionTable,
    partitions: partitionTable === 'none' ? 0 : drive.parts.length,
    fileSystem,
    fileSystemSaid: said,
    label: part.label,
    volumeId: part.volumeId,
    clusterBytes: facts.clusterBytes,
    clusterCount: facts.clusterCount,
    freeBytes: facts.freeBytes,
    readOnly: facts.readOnly || drive.readOnly,
    facts,
    tree: readMountedTree(volume),
  };
}
