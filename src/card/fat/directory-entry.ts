// The 32-byte directory entry (Microsoft FAT specification, section 6). Decodes and encodes; the name stays 11
// raw bytes, see `short-name.ts`.

import { decodeFields, encodeFields } from '../../bytes/fields.ts';
import { encodeFatTime, type FatTime } from './fat-time.ts';
import { shortNameBytes } from './short-name.ts';

export const slotBytes = 32;
/** First byte of a slot that was never used: nothing follows. */
export const slotEnd = 0x00;
/** First byte of a deleted entry. */
export const slotDeleted = 0xe5;

export const attribute = {
  readOnly: 0x01,
  hidden: 0x02,
  system: 0x04,
  label: 0x08,
  folder: 0x10,
  archive: 0x20,
} as const;
/** The bits that tell a long-name entry (all of 0x0F) from others. */
export const attributeMask = 0x3f;

export const directoryEntryFields = {
  attributes: { offset: 11, width: 1 },
  caseBits: { offset: 12, width: 1 },
  createdHundredths: { offset: 13, width: 1 },
  createdTime: { offset: 14, width: 2 },
  createdDate: { offset: 16, width: 2 },
  accessedDate: { offset: 18, width: 2 },
  firstClusterHigh: { offset: 20, width: 2 },
  modifiedTime: { offset: 22, width: 2 },
  modifiedDate: { offset: 24, width: 2 },
  firstClusterLow: { offset: 26, width: 2 },
  sizeBytes: { offset: 28, width: 4 },
} as const;

export interface DirectoryEntry {
  /** 11 raw bytes. */
  readonly name: Uint8Array;
  readonly attributes: number;
  readonly caseBits: number;
  readonly createdHundredths: number;
  readonly createdTime: number;
  readonly createdDate: number;
  readonly accessedDate: number;
  readonly firstClusterHigh: number;
  readonly modifiedTime: number;
  readonly modifiedDate: number;
  readonly firstClusterLow: number;
  readonly sizeBytes: number;
}

export function decodeDirectoryEntry(bytes: Uint8Array, at = 0): DirectoryEntry {
  return { name: bytes.slice(at, at + shortNameBytes), ...decodeFields(directoryEntryFields, bytes, at) };
}

export function encodeDirectoryEntry(entry: DirectoryEntry, bytes: Uint8Array, at = 0): void {
  const { name, ...numbers } = entry;
  bytes.set(name.subarray(0, shortNameBytes), at);
  encodeFields(directoryEntryFields, numbers, bytes, at);
}

/** The upper half counts on FAT32 alone; on FAT12 and FAT16 others keep their own things there. */
export function firstClusterOf(entry: DirectoryEntry, bits: 12 | 16 | 32): number {
  return bits === 32 ? entry.firstClusterLow + entry.firstClusterHigh * 0x10000 : entry.firstClusterLow;
}

export interface NewEntry {
  readonly name: Uint8Array;
  readonly attributes: number;
  readonly firstCluster: number;
  readonly sizeBytes: number;
  /** Created, modified and last accessed, milliseconds UTC. */
  readonly atMs: number;
}

export function makeDirectoryEntry({
  name,
  attributes,
  firstCluster,
  sizeBytes,
  atMs,
}: NewEntry): DirectoryEntry {
  const at: FatTime = encodeFatTime(atMs);
  return {
    name,
    attributes,
    caseBits: 0,
    createdHundredths: at.hundredths,
    createdTime: at.time,
    createdDate: at.date,
    accessedDate: at.date,
    firstClusterHigh: firstCluster >>> 16,
    modifiedTime: at.time,
    modifiedDate: at.date,
    firstClusterLow: firstCluster & 0xffff,
    sizeBytes,
  };
}
