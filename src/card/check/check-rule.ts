// The card against the card rule of a product: file system, table, capacity, cluster size, active flag and type
// byte. Looks at the card as examined; files and the image are checked elsewhere.

import type { CardRule } from '../../manifest/schema.ts';
import type { Finding } from '../../words/finding.ts';
import { formatBytes, formatSize } from '../../words/size.ts';
import {
  type ExaminedCard,
  type FileSystemName,
  fileSystemTitles,
  type TableKind,
} from '../look/examined-card.ts';
import { mbrTypesOf } from '../table/mbr.ts';
import { finding } from './finding-codes.ts';

/** Cards are sold with up to this much more than their label says. */
const overPercent = 2;

const tableTitles: Readonly<Record<TableKind, string>> = {
  none: 'no partition table',
  mbr: 'an MBR partition table',
  gpt: 'a GPT partition table',
};

const fresh = 'Run prepare with --fresh, which lays the card out anew, or take another card.';

export function checkRule(card: ExaminedCard, rule: CardRule): Finding[] {
  return [
    ...checkCapacity(card.sizeBytes, rule),
    ...table(card, rule),
    ...fileSystem(card, rule),
    ...entry(card, rule),
  ];
}

export function checkCapacity(sizeBytes: number, rule: CardRule): Finding[] {
  const { minBytes, maxBytes } = rule.capacity;
  const facts = {
    seen: `${formatSize(sizeBytes)} (${formatBytes(sizeBytes)} bytes)`,
    expected: `${formatSize(minBytes)} to ${formatSize(maxBytes)}`,
    next: 'Take another card.',
  };
  if (sizeBytes < minBytes) {
    return [finding('capacity-too-small', { summary: 'The card is too small for this unit.', ...facts })];
  }
  if (sizeBytes * 100 > maxBytes * (100 + overPercent)) {
    return [finding('capacity-too-large', { summary: 'The card is too large for this unit.', ...facts })];
  }
  return [];
}

function table(card: ExaminedCard, rule: CardRule): Finding[] {
  const { partitionTable } = card;
  if (rule.partitionTables.includes(partitionTable)) return [];
  // A blank card, or one whose start is damaged, has no table to be blamed for.
  if (partitionTable === 'none' && card.fileSystem === null) return [];
  return checkTable(partitionTable, rule);
}

export function checkTable(partitionTable: TableKind, rule: CardRule): Finding[] {
  if (rule.partitionTables.includes(partitionTable)) return [];
  return [
    finding('partition-table-not-allowed', {
      summary: 'This unit does not take a card with this kind of partition table.',
      seen: tableTitles[partitionTable],
      expected: rule.partitionTables.map((kind) => tableTitles[kind]).join(', or '),
      next: fresh,
    }),
  ];
}

function fileSystem(card: ExaminedCard, rule: CardRule): Finding[] {
  const name = card.fileSystem;
  // What is no file system at all, or one that is not looked into, was told when the card was examined; only an
  // allowed one of those needs another word.
  if (name === null) return [];
  const allowed = (rule.fileSystems as readonly FileSystemName[]).includes(name);
  if (allowed && card.volume !== null) return checkClusterSize(card.volume.geometry.clusterBytes, rule);
  if (allowed || (card.volume === null && name.startsWith('fat'))) return [];
  return checkFileSystem(fileSystemTitles[name], allowed, rule);
}

/** `title`: as people write it. */
export function checkFileSystem(title: string, allowed: boolean, rule: CardRule): Finding[] {
  if (allowed) return [];
  return [
    finding('file-system-not-allowed', {
      summary: `This unit does not take a card that is formatted as ${title}.`,
      seen: title,
      expected: rule.fileSystems.map((one) => fileSystemTitles[one]).join(' or '),
      next: fresh,
    }),
  ];
}

export function checkClusterSize(clusterBytes: number, rule: CardRule): Finding[] {
  if (clusterBytes <= rule.maxClusterBytes) return [];
  return [
    finding('cluster-too-large', {
      summary: 'The card’s clusters are larger than this unit can read.',
      seen: `${formatBytes(clusterBytes)} bytes`,
      expected: `at most ${formatBytes(rule.maxClusterBytes)} bytes`,
      next: fresh,
    }),
  ];
}

/** What the MBR entry of the volume says of it: loaders look at the type byte, some at the active flag. */
function entry({ volume, partitionTable }: ExaminedCard, rule: CardRule): Finding[] {
  const partition = volume?.partition;
  if (!volume || !partition || partitionTable !== 'mbr' || partition.type === undefined) return [];
  const findings: Finding[] = [];
  const name = volume.kind === 'exfat' ? 'exfat' : (`fat${volume.geometry.bits}` as const);
  const hex = (type: number): string => type.toString(16).toUpperCase().padStart(2, '0');
  if (rule.activePartition && !partition.active) {
    findings.push(
      finding('partition-not-active', {
        summary: 'The partition is not marked as active, which this unit looks for.',
        seen: `partition ${partition.number} without the active flag`,
        expected: 'the active flag set',
        next: 'Run prepare, which sets it.',
      }),
    );
  }
  if (!mbrTypesOf[name].includes(partition.type)) {
    findings.push(
      finding('partition-table-not-allowed', {
        summary: 'The partition table says of the partition that it holds something else than it does.',
        seen: `type ${hex(partition.type)} on ${fileSystemTitles[name]}`,
        expected: `type ${mbrTypesOf[name].map(hex).join(' or ')}`,
        next: fresh,
      }),
    );
  }
  return findings;
}
