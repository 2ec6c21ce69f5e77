// Long-name entries (Microsoft FAT specification, section 7): up to 20 of them, 13 UTF-16 units each, stand
// before their short entry in falling order. Decodes and encodes; how they belong together is judged by
// `read-folder.ts`.

import { decodeFields, encodeFields } from '../../bytes/fields.ts';

export const longNameFields = {
  order: { offset: 0, width: 1 },
  attributes: { offset: 11, width: 1 },
  type: { offset: 12, width: 1 },
  checksum: { offset: 13, width: 1 },
  firstCluster: { offset: 26, width: 2 },
} as const;

const unitOffsets = [1, 3, 5, 7, 9, 14, 16, 18, 20, 22, 24, 28, 30] as const;

export const longNameAttribute = 0x0f;
export const longNameLast = 0x40;
export const longNameUnits = unitOffsets.length;
export const longNameMaxUnits = 255;
export const longNameMaxEntries = 20;

export interface LongNameEntry {
  /** With `longNameLast` on the entry that comes first. */
  readonly order: number;
  readonly attributes: number;
  readonly type: number;
  readonly checksum: number;
  readonly firstCluster: number;
  /** All 13, the end mark (0) and the padding (0xFFFF) included. */
  readonly units: readonly number[];
}

export function decodeLongNameEntry(bytes: Uint8Array, at = 0): LongNameEntry {
  const units = unitOffsets.map((offset) => (bytes[at + offset] ?? 0) | ((bytes[at + offset + 1] ?? 0) << 8));
  return { ...decodeFields(longNameFields, bytes, at), units };
}

export function encodeLongNameEntry(entry: LongNameEntry, bytes: Uint8Array, at = 0): void {
  const { units, ...numbers } = entry;
  encodeFields(longNameFields, numbers, bytes, at);
  unitOffsets.forEach((offset, i) => {
    const unit = units[i] ?? 0xffff;
    bytes[at + offset] = unit & 0xff;
    bytes[at + offset + 1] = unit >> 8;
  });
}

/** The entries of a long name in the order in which they stand on the card; undefined where it is too long. */
export function longNameEntries(name: string, checksum: number): LongNameEntry[] | undefined {
  if (name.length < 1 || name.length > longNameMaxUnits) return undefined;
  const count = Math.ceil(name.length / longNameUnits);
  const entries: LongNameEntry[] = [];
  for (let order = count; order >= 1; order--) {
    const from = (order - 1) * longNameUnits;
    const units = unitOffsets.map((_, i) => {
      const at = from + i;
      return at < name.length ? name.charCodeAt(at) : at === name.length ? 0 : 0xffff;
    });
    const marked = order === count ? order | longNameLast : order;
    entries.push({ order: marked, attributes: longNameAttribute, type: 0, checksum, firstCluster: 0, units });
  }
  return entries;
}
