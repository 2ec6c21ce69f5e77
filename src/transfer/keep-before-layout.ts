// What of a card can be copied before it is laid out anew, and what cannot be: the first is kept, the second is told
// as lost before the person consents. Reads the beginning of the card at most.

import { clusterOffsetBytes, firstCluster } from '../card/cluster-geometry.ts';
import { fatMarks } from '../card/fat/fat.ts';
import type { CardVolume, ExaminedCard, FileNode } from '../card/look/examined-card.ts';
import type { PlanStep } from '../card/plan-step.ts';
import { filesToKeep } from '../card/tidy/tidy-choice.ts';
import type { BlockReader } from '../ports/blocks.ts';

/** Pieces of damaged files: what is remembered of them must not fill the memory. */
const maxClaimedRuns = 1_000_000;

/** What can be copied before the card is laid out anew, and what cannot. */
export function keepBeforeLayout(
  card: ExaminedCard,
  reader: BlockReader,
  /** The image's own file, where its bytes come from elsewhere. */
  except: FileNode | undefined,
): { keep: FileNode[]; lost: PlanStep[] } {
  const { volume } = card;
  if (volume === null) {
    const why = 'what is on the card cannot be read as files';
    return { keep: [], lost: isBlank(reader) ? [] : [{ do: 'lose', path: '', why }] };
  }
  const keep: FileNode[] = [];
  const lost: PlanStep[] = [];
  if (card.partitions.length > 1) {
    lost.push({ do: 'lose', path: '', why: 'what is in the other partitions is not read' });
  }
  // Sound files share no cluster. Of the others each may claim the whole card, so what they may take is counted.
  let clustersLeft = volume.geometry.clusterCount;
  let runsLeft = maxClaimedRuns;
  for (const file of filesToKeep(volume.root.children, except)) {
    const isSound = file.chain === 'sound';
    const wanted = Math.ceil(file.sizeBytes / volume.geometry.clusterBytes);
    if (!isSound && (wanted > clustersLeft || runsLeft <= 0)) {
      lost.push({ do: 'lose', path: file.path, why: 'damaged files lay claim to more than the card holds' });
      continue;
    }
    const readable = asReadable(file, volume, reader);
    if (!isSound) {
      clustersLeft -= wanted;
      runsLeft -= readable?.runs.length ?? 0;
    }
    if (readable !== undefined) keep.push(readable);
    else lost.push({ do: 'lose', path: file.path, why: 'it is damaged and cannot be read whole' });
  }
  for (const node of volume.nodes) {
    if (!node.isFolder || node.chain === 'sound' || node.litter === 'litter') continue;
    lost.push({ do: 'lose', path: node.path, why: 'it is a damaged folder, in which files may be hidden' });
  }
  if (!volume.treeComplete) {
    lost.push({ do: 'lose', path: '', why: 'a damaged folder may hide files, which cannot be read' });
  }
  return { keep, lost };
}

/** As it comes from the shop, or was wiped: nothing at its beginning. */
function isBlank(reader: BlockReader): boolean {
  const first = new Uint8Array(Math.min(reader.sizeBytes, 2 ** 20));
  reader.read(0, first);
  return first.every((byte) => byte === 0);
}

/**
 * The file with a chain that is as long as its size says, although others may lay claim to its clusters: better
 * a copy that may be wrong than none. undefined where the FAT or the card does not lead that far.
 */
function asReadable(file: FileNode, volume: CardVolume, reader: BlockReader): FileNode | undefined {
  // A damaged exFAT file may have no chain at all: what its entry says of its clusters cannot be taken at its word.
  if (volume.kind === 'exfat') return file.chain === 'sound' ? file : undefined;
  const { geometry, startBytes } = volume;
  const { mask } = fatMarks[geometry.bits];
  const wanted = Math.ceil(file.sizeBytes / geometry.clusterBytes);
  if (wanted > geometry.clusterCount) return undefined;
  const runs: { firstCluster: number; clusterCount: number }[] = [];
  let cluster = file.firstCluster;
  for (let count = 0; count < wanted; count++) {
    if (cluster < firstCluster || cluster > geometry.lastCluster) return undefined;
    const endBytes = startBytes + clusterOffsetBytes(geometry, cluster) + geometry.clusterBytes;
    if (endBytes > reader.sizeBytes) return undefined;
    const last = runs.at(-1);
    if (last !== undefined && last.firstCluster + last.clusterCount === cluster) last.clusterCount++;
    else runs.push({ firstCluster: cluster, clusterCount: 1 });
    cluster = (volume.entries[cluster] ?? 0) & mask;
  }
  return { ...file, runs, clusterCount: wanted };
}
