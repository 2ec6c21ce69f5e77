// The master boot record: four partition entries and a signature in sector 0. Decodes and encodes bytes; whether
// sector 0 is a table at all is decided in `find-partitions.ts`.

import { decodeFields, encodeFields } from '../../bytes/fields.ts';

/** Offsets within sector 0. */
export const mbrFields = {
  diskSignature: { offset: 440, width: 4 },
  signature: { offset: 510, width: 2 },
} as const;

export const mbrSignature = 0xaa55;
export const partitionEntryOffset = 446;
export const partitionEntryBytes = 16;
export const partitionEntryCount = 4;

/** Offsets within a 16-byte partition entry. Cylinder, head and sector are kept as raw bytes: nobody trusts them. */
export const partitionEntryFields = {
  status: { offset: 0, width: 1 },
  firstHead: { offset: 1, width: 1 },
  firstSectorCylinder: { offset: 2, width: 2 },
  type: { offset: 4, width: 1 },
  lastHead: { offset: 5, width: 1 },
  lastSectorCylinder: { offset: 6, width: 2 },
  startLba: { offset: 8, width: 4 },
  lengthSectors: { offset: 12, width: 4 },
} as const;

export interface MbrEntry {
  readonly status: number;
  readonly firstHead: number;
  readonly firstSectorCylinder: number;
  readonly type: number;
  readonly lastHead: number;
  readonly lastSectorCylinder: number;
  readonly startLba: number;
  readonly lengthSectors: number;
}

export interface Mbr {
  readonly diskSignature: number;
  readonly signature: number;
  /** Always four, empty ones (type 0) included. */
  readonly entries: readonly MbrEntry[];
}

export const statusInactive = 0x00;
export const statusActive = 0x80;
export const typeProtective = 0xee;
/** Extended partitions, which hold a chain of further tables. */
export const extendedTypes: readonly number[] = [0x05, 0x0f, 0x85];

/** The type bytes that say what the partition holds (as disk formatters and loaders use them). */
export const mbrTypesOf: Readonly<Record<'fat12' | 'fat16' | 'fat32' | 'exfat', readonly number[]>> = {
  fat12: [0x01],
  fat16: [0x04, 0x06, 0x0e],
  fat32: [0x0b, 0x0c],
  exfat: [0x07],
};

export function decodeMbr(sector: Uint8Array): Mbr {
  const entries: MbrEntry[] = [];
  for (let i = 0; i < partitionEntryCount; i++) {
    entries.push(decodeFields(partitionEntryFields, sector, partitionEntryOffset + i * partitionEntryBytes));
  }
  return { ...decodeFields(mbrFields, sector), entries };
}

/** Writes table, disk signature and signature into `sector`; boot code stays as it is. */
export function encodeMbr(mbr: Mbr, sector: Uint8Array): void {
  const { diskSignature, signature } = mbr;
  encodeFields(mbrFields, { diskSignature, signature }, sector);
  mbr.entries.slice(0, partitionEntryCount).forEach((entry, i) => {
    encodeFields(partitionEntryFields, entry, sector, partitionEntryOffset + i * partitionEntryBytes);
  });
}

export const emptyMbrEntry: MbrEntry = {
  status: 0,
  firstHead: 0,
  firstSectorCylinder: 0,
  type: 0,
  lastHead: 0,
  lastSectorCylinder: 0,
  startLba: 0,
  lengthSectors: 0,
};
