// Reads a GUID partition table from a card (UEFI specification, section 5.3): the first copy, else the one at
// the card's end, and where both are sound whether they say the same. Every number in it comes from the card and is
// bounded before use. Says what is wrong with the table; repairs nothing.

import { crc32 } from '../../bytes/crc32.ts';
import type { BlockReader } from '../../ports/blocks.ts';
import { readUpTo } from '../look/clamped-read.ts';
import {
  decodeGptEntry,
  decodeGptHeader,
  type GptEntry,
  type GptHeader,
  gptHeaderCrc,
  gptMinEntryBytes,
  gptMinHeaderBytes,
  gptSignature,
} from './gpt.ts';

/** The specification asks for 128; nobody has more than this. */
const maxEntries = 1024;
const maxEntryBytes = 4096;

interface NumberedEntry {
  /** From 1. */
  readonly number: number;
  readonly entry: GptEntry;
}

export interface GptRead {
  /** Unused ones left out; undefined where no copy can be read. */
  readonly entries: readonly NumberedEntry[] | undefined;
  /** Each a part of a sentence. */
  readonly problems: readonly string[];
  /** What is wrong with the second copy alone, while the first is sound; undefined: nothing. */
  readonly copyProblem: string | undefined;
}

interface GptCopy {
  readonly header: GptHeader;
  readonly entries: readonly NumberedEntry[];
}

/** Does a header, sound or not, stand where it should? */
export function hasGptSignature(blocks: BlockReader): boolean {
  const header = readUpTo(blocks, blocks.sectorBytes, blocks.sectorBytes);
  return header.length >= gptMinHeaderBytes && decodeGptHeader(header).signature === gptSignature;
}

export function readGpt(blocks: BlockReader): GptRead {
  const lastLba = Math.floor(blocks.sizeBytes / blocks.sectorBytes) - 1;
  const first = readCopy(blocks, 1);
  const second = readCopy(blocks, lastLba);
  if (typeof first !== 'string') {
    const copyProblem = typeof second === 'string' ? second : copyDifference(first, second, lastLba);
    return { entries: first.entries, problems: placeProblems(first, blocks), copyProblem };
  }
  const problem = `its first copy has ${first}`;
  if (typeof second !== 'string')
    return {
      entries: second.entries,
      problems: [problem, ...placeProblems(second, blocks)],
      copyProblem: undefined,
    };
  const problems = [problem, `its second copy has ${second}`];
  return { entries: undefined, problems, copyProblem: undefined };
}

/** Section 5.3.2: the two differ in where they lie, and in nothing else. */
function copyDifference(first: GptCopy, second: GptCopy, lastLba: number): string | undefined {
  const [a, b] = [first.header, second.header];
  if (a.backupLba !== lastLba) return 'another place than the first copy says';
  if (b.backupLba !== 1) return 'another place for the first copy';
  const same = (
    ['diskGuid', 'firstUsableLba', 'lastUsableLba', 'entryCount', 'entryBytes', 'entriesCrc'] as const
  ).every((name) => a[name] === b[name]);
  return same ? undefined : 'another content than the first';
}

/** Partitions lie within the sectors that the header gives them, apart from each other and from the table itself. */
function placeProblems({ header, entries }: GptCopy, blocks: BlockReader): string[] {
  const problems: string[] = [];
  const { firstUsableLba, lastUsableLba, entriesLba, entryCount, entryBytes } = header;
  const lastLba = Math.floor(blocks.sizeBytes / blocks.sectorBytes) - 1;
  const entriesEnd = entriesLba + Math.ceil((entryCount * entryBytes) / blocks.sectorBytes);
  // A table for a larger card is of no use on this one: readers that look at this refuse it.
  if (lastUsableLba >= lastLba) problems.push('it has more sectors for partitions than the card');
  if (firstUsableLba < 2 || (entriesLba <= lastUsableLba && entriesEnd > firstUsableLba))
    problems.push('it has its sectors for partitions where it lies itself');
  const sorted = [...entries].sort((a, b) => a.entry.startLba - b.entry.startLba);
  let end = 0;
  for (const { number, entry } of sorted) {
    if (entry.endLba < entry.startLba) continue;
    if (entry.startLba < header.firstUsableLba || entry.endLba > header.lastUsableLba)
      problems.push(`entry ${number} lies outside of the sectors for partitions`);
    if (entry.startLba <= end) problems.push(`entry ${number} overlaps another`);
    end = Math.max(end, entry.endLba);
  }
  return problems;
}

/** A string: why it cannot be read, a part of a sentence. */
function readCopy(blocks: BlockReader, lba: number): GptCopy | string {
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
  // 128 times a power of two.
  const isPower = Number.isInteger(Math.log2(entryBytes / gptMinEntryBytes));
  if (entryBytes < gptMinEntryBytes || entryBytes > maxEntryBytes || !isPower) return 'entries of odd length';
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
  return { header, entries };
}
