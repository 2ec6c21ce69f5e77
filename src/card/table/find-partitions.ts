// What sector 0 is: a partition table, the start of a volume without one, or neither; and the partitions that
// there are. A sector 0 that opens with a jump and a plausible geometry is a boot sector, whatever its last
// bytes look like as a table: cards without a table are common, and their boot code can look like entries.
// Extended partitions are noticed, not followed.

import type { BlockReader } from '../../ports/blocks.ts';
import type { Finding } from '../../words/finding.ts';
import { finding } from '../check/finding-codes.ts';
import { saysFat } from '../fat/boot-sector.ts';
import { readUpTo } from '../look/clamped-read.ts';
import type { Partition, TableKind } from '../look/examined-card.ts';
import { type Recognised, recogniseFileSystem } from '../look/recognise-file-system.ts';
import {
  decodeMbr,
  extendedTypes,
  type Mbr,
  type MbrEntry,
  mbrSignature,
  statusActive,
  statusInactive,
  typeProtective,
} from './mbr.ts';
import { hasGptSignature, readGpt } from './read-gpt.ts';

export interface FoundPartition {
  readonly partition: Omit<Partition, 'fileSystem'>;
  readonly content: Recognised;
}

export interface FoundPartitions {
  readonly partitionTable: TableKind;
  readonly diskSignature: number | null;
  readonly partitions: readonly FoundPartition[];
  /** What begins at sector 0, where there is no table. */
  readonly bare: Recognised | null;
  readonly findings: readonly Finding[];
}

export function findPartitions(blocks: BlockReader): FoundPartitions {
  const sector0 = readUpTo(blocks, 0, 512);
  const atStart = recogniseFileSystem(blocks, 0);
  const bare: FoundPartitions = {
    partitionTable: 'none',
    diskSignature: null,
    partitions: [],
    bare: atStart,
    findings: [],
  };
  if (sector0.length < 512 || atStart.kind === 'fat' || atStart.kind === 'exfat') return bare;
  const mbr = decodeMbr(sector0);
  if (mbr.signature !== mbrSignature) {
    return hasGptSignature(blocks) && atStart.kind === 'unknown'
      ? gptTable(blocks, mbr, ['no sector 0 before it'])
      : bare;
  }
  if (
    atStart.kind === 'other' &&
    atStart.name !== 'ext2' &&
    atStart.name !== 'ext3' &&
    atStart.name !== 'ext4'
  ) {
    return bare;
  }
  if (saysFat(sector0)) return bare;
  const used = mbr.entries.filter((entry) => !isEmpty(entry));
  if (used.some((entry) => entry.type === typeProtective)) {
    const mixed = used.length > 1 ? ['other partitions beside it in sector 0'] : [];
    // Readers that find no such entry at sector 1 do not look for the table at all.
    const covers = used.some(({ type, startLba }) => type === typeProtective && startLba === 1);
    return gptTable(blocks, mbr, covers ? mixed : [...mixed, 'no entry in sector 0 that begins at sector 1']);
  }
  if (used.some(isSane)) return mbrTable(blocks, mbr);
  if (atStart.kind !== 'unknown') return bare;
  if (used.length === 0 && hasGptSignature(blocks))
    return gptTable(blocks, mbr, ['no entry in sector 0 that protects it']);
  return mbrTable(blocks, mbr);
}

function isEmpty(entry: MbrEntry): boolean {
  return entry.type === 0 && entry.startLba === 0 && entry.lengthSectors === 0;
}

function isSane(entry: MbrEntry): boolean {
  const status = entry.status === statusInactive || entry.status === statusActive;
  return status && entry.type !== 0 && entry.startLba > 0 && entry.lengthSectors > 0;
}

function mbrTable(blocks: BlockReader, mbr: Mbr): FoundPartitions {
  const problems: string[] = [];
  const partitions: FoundPartition[] = [];
  mbr.entries.forEach((entry, i) => {
    if (isEmpty(entry)) return;
    if (!isSane(entry)) {
      problems.push(`entry ${i + 1}: ${whatIsOdd(entry)}`);
      if (entry.type === 0 || entry.startLba === 0 || entry.lengthSectors === 0) return;
    }
    const facts = { number: i + 1, active: entry.status === statusActive, type: entry.type };
    partitions.push(partitionAt(blocks, entry.startLba, entry.lengthSectors, facts));
  });
  if (mbr.entries.filter((entry) => entry.status === statusActive).length > 1) {
    problems.push('more than one entry is marked as active');
  }
  return {
    partitionTable: 'mbr',
    diskSignature: mbr.diskSignature,
    partitions,
    bare: null,
    findings: tableFindings('MBR', problems),
  };
}

function whatIsOdd(entry: MbrEntry): string {
  if (entry.type === 0) return 'a place but no type';
  if (entry.lengthSectors === 0) return 'a length of 0 sectors';
  if (entry.startLba === 0) return 'it begins at sector 0, where the table itself is';
  return `an active flag of ${entry.status.toString(16).toUpperCase().padStart(2, '0')}, where 00 or 80 must stand`;
}

function gptTable(blocks: BlockReader, mbr: Mbr, oddities: readonly string[]): FoundPartitions {
  const { entries, problems, copyProblem } = readGpt(blocks);
  const odd = [...oddities, ...problems];
  const partitions: FoundPartition[] = [];
  for (const { number, entry } of entries ?? []) {
    const lengthSectors = entry.endLba - entry.startLba + 1;
    if (entry.startLba < 2 || lengthSectors < 1) odd.push(`entry ${number} ends before it begins`);
    else
      partitions.push(
        partitionAt(blocks, entry.startLba, lengthSectors, {
          number,
          active: false,
          typeGuid: entry.typeGuid,
        }),
      );
  }
  return {
    partitionTable: 'gpt',
    diskSignature: mbr.signature === mbrSignature ? mbr.diskSignature : null,
    partitions,
    bare: null,
    findings: [
      ...tableFindings('GPT', odd),
      ...copyFindings(copyProblem),
      ...(odd.length === 0 ? protectionFindings(blocks, mbr) : []),
    ],
  };
}

function copyFindings(problem: string | undefined): Finding[] {
  if (problem === undefined) return [];
  return [
    finding('gpt-copy-differs', {
      summary: 'The second copy of the partition table (GPT), at the end of the card, is not as the first.',
      seen: `it has ${problem}`,
      expected: 'the same table at the last sector of the card',
      next: 'Nothing if this card has worked in such a unit; else lay it out anew.',
    }),
  ];
}

/** Section 5.2.3: one entry over the whole card, so that nobody takes the card for empty. */
function protectionFindings(blocks: BlockReader, { entries }: Mbr): Finding[] {
  const entry = entries.find(({ type }) => type === typeProtective);
  if (entry === undefined) return [];
  const sectors = Math.floor(blocks.sizeBytes / blocks.sectorBytes);
  const covers = entry.lengthSectors === 0xffffffff || entry.lengthSectors === sectors - 1;
  if (entry.startLba === 1 && covers && entry.status === statusInactive) return [];
  return [
    finding('gpt-protection-odd', {
      summary: 'The entry that protects the partition table (GPT) does not cover the card as it should.',
      seen: `${entry.lengthSectors} sectors from sector ${entry.startLba}`,
      expected: `${sectors - 1} sectors from sector 1`,
      where: 'sector 0',
      next: 'Nothing if this card has worked in such a unit; else lay it out anew.',
    }),
  ];
}

function partitionAt(
  blocks: BlockReader,
  startLba: number,
  lengthSectors: number,
  facts: Pick<Partition, 'number' | 'active' | 'type' | 'typeGuid'>,
): FoundPartition {
  const cardSectors = Math.floor(blocks.sizeBytes / blocks.sectorBytes);
  const extended = facts.type !== undefined && extendedTypes.includes(facts.type);
  const partition = {
    ...facts,
    startLba,
    lengthSectors,
    startBytes: startLba * blocks.sectorBytes,
    lengthBytes: lengthSectors * blocks.sectorBytes,
    extended,
    beyondCard: startLba + lengthSectors > cardSectors,
  };
  const unseen = extended || startLba >= cardSectors;
  return {
    partition,
    content: unseen ? { kind: 'unknown', blank: false } : recogniseFileSystem(blocks, partition.startBytes),
  };
}

function tableFindings(title: string, problems: readonly string[]): Finding[] {
  if (problems.length === 0) return [];
  return [
    finding('partition-table-not-allowed', {
      summary: `The partition table (${title}) is damaged.`,
      seen: problems.slice(0, 4).join('; '),
      expected: 'a sound partition table',
      where: 'the first sectors of the card',
      next: 'Run prepare with --fresh, which lays the card out anew, or take another card.',
    }),
  ];
}
