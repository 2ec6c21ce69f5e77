// The GUID partition table (UEFI specification, section 5.3): header with CRC, entries with CRC. Decodes and
// encodes bytes; reading it from a card, and falling back to its copy, is done in `find-partitions.ts`.

import { crc32 } from '../../bytes/crc32.ts';
import { decodeFields, encodeFields } from '../../bytes/fields.ts';
import { decodeText, encodeText } from '../../bytes/text-field.ts';

export const gptHeaderFields = {
  revision: { offset: 8, width: 4 },
  headerBytes: { offset: 12, width: 4 },
  headerCrc: { offset: 16, width: 4 },
  currentLba: { offset: 24, width: 8 },
  backupLba: { offset: 32, width: 8 },
  firstUsableLba: { offset: 40, width: 8 },
  lastUsableLba: { offset: 48, width: 8 },
  entriesLba: { offset: 72, width: 8 },
  entryCount: { offset: 80, width: 4 },
  entryBytes: { offset: 84, width: 4 },
  entriesCrc: { offset: 88, width: 4 },
} as const;

const signatureField = { offset: 0, length: 8 } as const;
const diskGuidOffset = 56;
export const gptSignature = 'EFI PART';
export const gptMinHeaderBytes = 92;

export const gptEntryFields = {
  startLba: { offset: 32, width: 8 },
  /** The last sector that belongs to it. */
  endLba: { offset: 40, width: 8 },
  attributes: { offset: 48, width: 8 },
} as const;

const entryTypeOffset = 0;
const entryGuidOffset = 16;
const entryNameOffset = 56;
const entryNameUnits = 36;
export const gptMinEntryBytes = 128;

export interface GptHeader {
  readonly signature: string;
  readonly revision: number;
  readonly headerBytes: number;
  readonly headerCrc: number;
  readonly currentLba: number;
  readonly backupLba: number;
  readonly firstUsableLba: number;
  readonly lastUsableLba: number;
  readonly diskGuid: string;
  readonly entriesLba: number;
  readonly entryCount: number;
  readonly entryBytes: number;
  readonly entriesCrc: number;
}

export interface GptEntry {
  /** Upper-case GUID text; `emptyGuid` for an unused entry. */
  readonly typeGuid: string;
  readonly guid: string;
  readonly startLba: number;
  readonly endLba: number;
  readonly attributes: number;
  readonly name: string;
}

export const emptyGuid = '00000000-0000-0000-0000-000000000000';

/** Byte order of a GUID on disk: the first three groups little-endian, the rest as written. */
const guidOrder = [3, 2, 1, 0, 5, 4, 7, 6, 8, 9, 10, 11, 12, 13, 14, 15] as const;

export function decodeGuid(bytes: Uint8Array, at: number): string {
  const hex = guidOrder.map((i) => (bytes[at + i] ?? 0).toString(16).padStart(2, '0')).join('');
  const groups = [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)];
  return groups.join('-').toUpperCase();
}

export function encodeGuid(bytes: Uint8Array, at: number, guid: string): void {
  const hex = guid.replaceAll('-', '');
  guidOrder.forEach((target, i) => {
    bytes[at + target] = Number.parseInt(hex.slice(i * 2, i * 2 + 2), 16);
  });
}

export function decodeGptHeader(sector: Uint8Array): GptHeader {
  return {
    signature: decodeText(sector, signatureField),
    ...decodeFields(gptHeaderFields, sector),
    diskGuid: decodeGuid(sector, diskGuidOffset),
  };
}

/** Writes the header as given; `sealGptHeader` sets its CRC afterwards. */
export function encodeGptHeader(header: GptHeader, sector: Uint8Array): void {
  const { signature, diskGuid, ...numbers } = header;
  encodeText(sector, signatureField, signature);
  encodeFields(gptHeaderFields, numbers, sector);
  encodeGuid(sector, diskGuidOffset, diskGuid);
}

/** CRC over the header with its own CRC field taken as zero. */
export function gptHeaderCrc(sector: Uint8Array, headerBytes: number): number {
  const copy = sector.slice(0, headerBytes);
  encodeFields(gptHeaderFields, { headerCrc: 0 }, copy);
  return crc32(copy);
}

export function sealGptHeader(sector: Uint8Array): void {
  const { headerBytes } = decodeFields(gptHeaderFields, sector);
  encodeFields(gptHeaderFields, { headerCrc: gptHeaderCrc(sector, headerBytes) }, sector);
}

export function decodeGptEntry(bytes: Uint8Array, at: number): GptEntry {
  let name = '';
  for (let i = 0; i < entryNameUnits; i++) {
    const low = bytes[at + entryNameOffset + i * 2] ?? 0;
    const unit = low + (bytes[at + entryNameOffset + i * 2 + 1] ?? 0) * 256;
    if (unit === 0) break;
    name += String.fromCharCode(unit);
  }
  return {
    typeGuid: decodeGuid(bytes, at + entryTypeOffset),
    guid: decodeGuid(bytes, at + entryGuidOffset),
    ...decodeFields(gptEntryFields, bytes, at),
    name,
  };
}

export function encodeGptEntry(entry: GptEntry, bytes: Uint8Array, at: number): void {
  encodeGuid(bytes, at + entryTypeOffset, entry.typeGuid);
  encodeGuid(bytes, at + entryGuidOffset, entry.guid);
  const { startLba, endLba, attributes } = entry;
  encodeFields(gptEntryFields, { startLba, endLba, attributes }, bytes, at);
  for (let i = 0; i < entryNameUnits; i++) {
    const unit = i < entry.name.length ? entry.name.charCodeAt(i) : 0;
    bytes[at + entryNameOffset + i * 2] = unit & 0xff;
    bytes[at + entryNameOffset + i * 2 + 1] = unit >> 8;
  }
}
