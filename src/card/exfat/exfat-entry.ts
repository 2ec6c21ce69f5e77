// The 32-byte directory entries of exFAT (specification, sections 6 and 7): their types and fields. Decodes bytes; how
// entries make a file is worked out in `entry-set.ts`.

import type { FieldTable } from '../../bytes/fields.ts';

export const entryBytes = 32;

/** Section 6.2.1: type codes with their importance, category and in-use bits. */
export const entryType = {
  end: 0x00,
  bitmap: 0x81,
  upCase: 0x82,
  label: 0x83,
  file: 0x85,
  volumeGuid: 0xa0,
  padding: 0xa1,
  stream: 0xc0,
  name: 0xc1,
} as const;

/** Bits of a type code. */
export const typeBits = { inUse: 0x80, secondary: 0x40, benign: 0x20 } as const;

/** Sections 6.4 and 6.5: an entry that has clusters of its own. */
export const allocationFlags = { possible: 0x01, noFatChain: 0x02 } as const;

/** Section 7.1. */
export const bitmapFields = {
  flags: { offset: 1, width: 1 },
  firstCluster: { offset: 20, width: 4 },
  dataLength: { offset: 24, width: 8 },
} as const satisfies FieldTable;

/** Section 7.2. */
export const upCaseFields = {
  checksum: { offset: 4, width: 4 },
  firstCluster: { offset: 20, width: 4 },
  dataLength: { offset: 24, width: 8 },
} as const satisfies FieldTable;

/** Section 7.3. */
export const labelFields = { characterCount: { offset: 1, width: 1 } } as const satisfies FieldTable;
export const labelUnits = { offset: 2, count: 11 } as const;

/** Section 7.4. */
export const fileFields = {
  secondaryCount: { offset: 1, width: 1 },
  setChecksum: { offset: 2, width: 2 },
  attributes: { offset: 4, width: 2 },
} as const satisfies FieldTable;

/** Section 7.6. */
export const streamFields = {
  flags: { offset: 1, width: 1 },
  nameLength: { offset: 3, width: 1 },
  nameHash: { offset: 4, width: 2 },
  validDataLength: { offset: 8, width: 8 },
  firstCluster: { offset: 20, width: 4 },
  dataLength: { offset: 24, width: 8 },
} as const satisfies FieldTable;

/** Section 7.7. */
export const nameUnits = { offset: 2, count: 15 } as const;

/** Section 7.4.4; the others as on FAT. */
export const folderAttribute = 0x10;

/** A number of UTF-16 units from an entry. */
export function decodeUnits(bytes: Uint8Array, offset: number, count: number): string {
  let text = '';
  for (let i = 0; i < count; i++) {
    const at = offset + 2 * i;
    text += String.fromCharCode((bytes[at] ?? 0) | ((bytes[at + 1] ?? 0) << 8));
  }
  return text;
}
