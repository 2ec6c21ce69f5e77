// `check` of a card by its files, where it is mounted: the way of people who may not open the card itself. Says the same
// as the other way where it knows as much, and names what it could not look at.

import type { CheckedCard } from '../card/check/check-card.ts';
import { checkMounted } from '../card/check/check-mounted.ts';
import { fileSystemTitles } from '../card/look/examined-card.ts';
import { digestMounted } from '../card/mounted/digest-mounted-file.ts';
import { lookAtMounted, type MountedCard } from '../card/mounted/mounted-card.ts';
import type { Release } from '../manifest/schema.ts';
import { printable } from '../words/printable.ts';
import { formatBytes, formatSize } from '../words/size.ts';
import type { Context } from './context.ts';
import type { MountedPlace } from './mounted-place.ts';
import type { WantedRelease } from './wanted-release.ts';

export interface CheckedByFiles {
  readonly card: MountedCard;
  readonly checked: CheckedCard;
}

/** The mark that a mount sets; whatever else was written since the card was put in may be remembered wrongly. */
const mountMarkBytes = 512;

/** Nothing was written to it since it was put in: then what the system knows of it was read from it. */
export function isReadFromCard({ facts }: MountedCard, locked: boolean): boolean {
  const written = locked ? 0 : (facts.traffic?.writtenBytes ?? Number.POSITIVE_INFINITY);
  return facts.readsPastMemory && written <= mountMarkBytes;
}

export async function checkByFiles(
  context: Context,
  { drive, part, mountPoint }: MountedPlace,
  wanted: WantedRelease | undefined,
  knownReleases: (hasFiles: boolean) => Promise<readonly Release[]>,
): Promise<CheckedByFiles> {
  const volume = (await context.volumes()).open(mountPoint);
  const progress = context.terminal.progress('reading', 'bytes');
  try {
    const card = lookAtMounted(volume, drive, part);
    const checked = await checkMounted(card, {
      wanted: wanted && {
        release: wanted.release,
        rule: wanted.product.card,
        resultFile: wanted.product.resultFile,
        withdrawalsUnread: (await context.catalogue()).withdrawalsUnread,
      },
      known: await knownReleases(card.tree.nodes.some((node) => !node.isFolder)),
      readFromCard: isReadFromCard(card, drive.readOnly),
      digest: digestMounted(volume, progress.at),
    });
    return { card, checked };
  } finally {
    progress.end();
    volume.close();
  }
}

export function mountedCardJson(card: MountedCard, { roleOf }: CheckedCard): Record<string, unknown> {
  const { nodes } = card.tree;
  return {
    kind: 'mounted',
    path: card.mountPoint,
    sizeBytes: card.sizeBytes,
    partitionTable: card.partitionTable,
    partitions: null,
    fileSystem: card.fileSystem,
    label: card.label,
    volumeId: card.volumeId,
    clusterBytes: card.clusterBytes,
    freeBytes: card.freeBytes,
    files: nodes
      .filter((node) => !node.isFolder)
      .map((node) => ({ path: node.path, bytes: node.sizeBytes, role: roleOf(node) })),
    emptyFolders: nodes
      .filter((node) => node.isFolder && node.children.length === 0)
      .map((node) => ({ path: node.path, role: roleOf(node) })),
  };
}

const line = (name: string, value: string): string => `${name.padEnd(8)}${value}`;

export function mountedCardLines(card: MountedCard): string[] {
  const table = { none: 'no partition table', mbr: 'MBR', gpt: 'GPT', unknown: 'not known' }[
    card.partitionTable ?? 'unknown'
  ];
  const name =
    card.fileSystem === null
      ? printable(card.fileSystemSaid ?? 'not known', 20)
      : fileSystemTitles[card.fileSystem];
  const label = card.label === null ? 'no label' : `label ${printable(card.label, 40)}`;
  return [
    line('card', `${printable(card.mountPoint, 1000)}, by its files`),
    line('size', `${formatSize(card.sizeBytes)} (${formatBytes(card.sizeBytes)} bytes)`),
    line('table', table),
    line('volume', `${name}, ${label}, clusters of ${formatBytes(card.clusterBytes)} bytes`),
    line('free', formatSize(card.freeBytes)),
  ];
}
