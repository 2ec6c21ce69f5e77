// One look at a card: its table, the volume that counts, and everything in it. Reads only what describes the
// card, never the contents of its files. What a unit accepts is checked afterwards, in `check-card.ts`.

import type { BlockReader } from '../../ports/blocks.ts';
import { type Finding, hasStop } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import { finding } from '../check/finding-codes.ts';
import { geometryOf } from '../fat/fat-geometry.ts';
import { type FoundPartition, findPartitions } from '../table/find-partitions.ts';
import { examineExfat } from './examine-exfat.ts';
import { examineVolume } from './examine-volume.ts';
import {
  type ExaminedCard,
  type FileSystemName,
  fileSystemTitles,
  type Partition,
  type VolumeLength,
} from './examined-card.ts';
import type { Recognised } from './recognise-file-system.ts';

/** A volume may be this many of its sectors shorter than its partition: formatters round down to whole tracks. */
const roundedSectors = 64;

const fresh = 'Run prepare with --fresh, which lays the card out anew, or take another card.';

export function examineCard(blocks: BlockReader): ExaminedCard {
  const found = findPartitions(blocks);
  const findings: Finding[] = [...found.findings];
  const card = {
    sizeBytes: blocks.sizeBytes,
    sectorBytes: blocks.sectorBytes,
    partitionTable: found.partitionTable,
    diskSignature: found.diskSignature,
  };
  const partitions = found.partitions.map(({ partition, content }): Partition => {
    return { ...partition, fileSystem: nameOf(content) };
  });
  findings.push(...partitionFindings(partitions, findings.length > 0));
  const chosen = choose(found.partitions);
  const content = found.bare ?? chosen?.content;
  if (content === undefined || content.kind === 'unknown' || content.kind === 'other') {
    // A reason that was told already is not told again as "nothing there".
    if (!hasStop(findings)) findings.push(...nothingToRead(content, partitions));
    const fileSystem = content?.kind === 'other' ? content.name : null;
    return { ...card, partitions, fileSystem, volume: null, findings };
  }
  const partition = chosen === undefined ? null : (partitions[found.partitions.indexOf(chosen)] ?? null);
  const startBytes = partition?.startBytes ?? 0;
  const looked =
    content.kind === 'exfat'
      ? examineExfat(blocks, content.boot, content.bytes, startBytes, partition)
      : examineVolume(blocks, content.boot, content.bytes, startBytes, partition);
  if (looked.length !== undefined) findings.push(...lengthFindings(blocks, looked.length, partition));
  findings.push(...looked.findings);
  return { ...card, partitions, fileSystem: looked.fileSystem, volume: looked.volume, findings };
}

function nameOf(content: Recognised): FileSystemName | null {
  if (content.kind === 'other') return content.name;
  if (content.kind === 'exfat') return 'exfat';
  if (content.kind !== 'fat') return null;
  const { geometry } = geometryOf(content.boot);
  return geometry === undefined ? null : `fat${geometry.bits}`;
}

/** The first volume that can be looked into, else the first partition that says anything, else the first. */
function choose(partitions: readonly FoundPartition[]): FoundPartition | undefined {
  const of = (...kinds: Recognised['kind'][]) =>
    partitions.find(({ content }) => kinds.includes(content.kind));
  return of('fat', 'exfat') ?? of('damaged-fat', 'other') ?? partitions[0];
}

function partitionFindings(partitions: readonly Partition[], tableIsDamaged: boolean): Finding[] {
  const findings: Finding[] = [];
  const only = partitions[0];
  if (partitions.length > 1) {
    findings.push(
      finding('several-partitions', {
        summary: 'The card has several partitions; a unit may look into the wrong one.',
        seen: `${partitions.length} partitions`,
        expected: 'one partition, or none',
        next: fresh,
      }),
    );
  } else if (only?.extended && !tableIsDamaged) {
    findings.push(
      finding('partition-table-not-allowed', {
        summary: 'The card has an extended partition, in which a unit does not look.',
        seen: `an extended partition (type ${hex(only.type ?? 0)})`,
        expected: 'one plain partition, or none',
        next: fresh,
      }),
    );
  }
  const beyond = partitions.filter((partition) => partition.beyondCard);
  if (beyond.length > 0) {
    const partition = beyond[0]!;
    findings.push(
      finding('partition-beyond-card', {
        summary:
          'A partition reaches beyond the end of the card: the card is not the one that it was laid out on.',
        seen: `partition ${partition.number} ends at byte ${formatBytes(partition.startBytes + partition.lengthBytes)}`,
        expected: 'an end within the card',
        next: 'Take another card; a card that claims more than it holds loses files.',
      }),
    );
  }
  return findings;
}

/** The volume against its partition, or against the whole card where there is no table. */
function lengthFindings(blocks: BlockReader, length: VolumeLength, partition: Partition | null): Finding[] {
  const space = partition?.lengthBytes ?? blocks.sizeBytes;
  const volume = length.volumeBytes;
  const facts = {
    seen: `a volume of ${formatBytes(volume)} bytes`,
    expected: `${formatBytes(space)} bytes, as its ${partition === null ? 'card' : 'partition'} has`,
  };
  if (volume > space) {
    const of = partition === null ? 'the card' : 'its partition';
    return [
      finding('partition-size-mismatch', {
        summary: `The volume is longer than ${of}: its last part is not there.`,
        ...facts,
        next: fresh,
      }),
    ];
  }
  // A partition that reaches beyond the card has no length worth comparing.
  if (partition?.beyondCard || space - volume < roundedSectors * length.bytesPerSector) return [];
  return [
    finding(
      'partition-size-mismatch',
      {
        summary:
          'The volume is shorter than its space on the card; a unit that compares the two may refuse it.',
        ...facts,
        next: 'Nothing if this card has worked in such a unit; else run prepare with --fresh.',
      },
      'warn',
    ),
  ];
}

function nothingToRead(content: Recognised | undefined, partitions: readonly Partition[]): Finding[] {
  const seen =
    content?.kind === 'other'
      ? fileSystemTitles[content.name]
      : content === undefined && partitions.length === 0
        ? 'a partition table without a partition'
        : content?.kind === 'unknown' && content.blank
          ? 'a blank card'
          : 'nothing that is known';
  const summary =
    content?.kind === 'other'
      ? `The card is formatted as ${seen}, which is not looked into.`
      : 'There is no file system on the card that a unit could read.';
  return [
    finding('file-system-not-allowed', {
      summary,
      seen,
      expected: 'FAT12, FAT16, FAT32 or exFAT',
      next: fresh,
    }),
  ];
}

function hex(value: number): string {
  return value.toString(16).toUpperCase().padStart(2, '0');
}
