// Reads a GUID partition table from a card (UEFI specification, section 5.3): the first copy, else the one at
// the card's end. Every number in it comes from the card and is bounded before use. Says what is wrong with the
// table; repairs nothing.

import { crc32 } from '../../bytes/crc32.ts';
import type { BlockReader } from '../../ports/blocks.ts';
import { readUpTo } from '../look/clamped-read.ts';
import {
  decodeGptEntry,
  decodeGptHeader,
  type GptEntry,
  gptHeaderCrc,
  gptMinEntryBytes,
  gptMinHeaderBytes,
  gptSignature,
} from './gpt.ts';

/** The specification asks for 128; nobody has more than this. */
const maxEntries = 1024;
const maxEntryBytes = 4096;

export interface GptRead {
  /** Entry number (from 1) and entry, unused ones left out; undefined where no copy can be read. */
  readonly entries: readonly { readonly number: number; readonly entry: GptEntry }[] | undefined;
  /** Each a part of a sentence. */
  readonly problems: readonly string[];
}

/** Does a header, sound or not, stand where it should? */
export function hasGptSignature(blocks: BlockReader): boolean {
  const header = readUpTo(blocks, blocks.sectorBytes, blocks.sectorBytes);
  return header.length >= gptMinHeaderBytes && decodeGptHeader(header).signature === gptSignature;
}

export function readGpt(blocks: BlockReader): GptRead {
  const first = readCopy(blocks, 1);
  if (typeof first !== 'string') return { entries: first, problems: [] };
  const lastLba = Math.floor(blocks.sizeBytes / blocks.sectorBytes) - 1;
  const second = readCopy(blocks, lastLba);
  if (typeof second !== 'string') return { entries: second, problems: [`its first copy has ${first}`] };
  return { entries: undefined, problems: [`its first copy has ${first}`, `its second copy has ${second}`] };
}

function readCopy(blocks: BlockReader, lba: number): (GptRead['entries'] & {}) | string {
  const { sectorBytes } = blocks;
  const sectors = Math.floor(blocks.sizeBytes / sectorBytes);
  if (lba < 1 || lba >= sectors) return 'no sector for its header';
  const sector = readUpTo(blocks, lba * sectorBytes, sectorBytes);
  const header = decodeGptHeader(sector);
  if (header.signature !== gptSignature) return 'no signature';
  if (header.headerBytes < gptMinHeaderBytes || header.headerBytes > sectorBytes)
    return 'a header of odd length';
  if (gptHeaderCrc(sector, header.headerBytes) !== header.headerCrc)
    return 'a wrong check sum over its header';
  if (header.currentLba !== lba) return 'a header that was written for another sector';
  const { entryBytes, entryCount, entriesLba } = header;
  if (entryBytes < gptMinEntryBytes || entryBytes > maxEntryBytes || entryBytes % 8 !== 0)
    return 'entries of odd length';
  if (entryCount > maxEntries) return `room for ${entryCount} entries`;
  const tableBytes = Math.ceil((entryCount * entryBytes) / sectorBytes) * sectorBytes;
  if (entriesLba < 2 || (entriesLba + tableBytes / sectorBytes) * sectorBytes > sectors * sectorBytes) {
    return 'entries that lie beyond the card';
  }
  const table = readUpTo(blocks, entriesLba * sectorBytes, tableBytes);
  if (crc32(table.subarray(0, entryCount * entryBytes)) !== header.entriesCrc)
    return 'a wrong check sum over its entries';
  const entries: { number: number; entry: GptEntry }[] = [];
  for (let i = 0; i < entryCount; i++) {
    const type = table.subarray(i * entryBytes, i * entryBytes + 16);
    if (type.some((byte) => byte !== 0))
      entries.push({ number: i + 1, entry: decodeGptEntry(table, i * entryBytes) });
  }
  return entries;
}
