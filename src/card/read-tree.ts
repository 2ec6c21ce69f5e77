// Reads all folders of a FAT volume and follows the chain of every file and folder in them. Bounded whatever the
// card says: a cluster is used once, a folder has at most 65,536 entries, and depth and number of files have
// limits. Damage becomes findings; the walk goes on with what can be read.

import type { BlockReader } from '../ports/blocks.ts';
import type { Finding } from '../words/finding.ts';
import { formatBytes } from '../words/size.ts';
import { chainFindings, limited, type WalkedChain } from './chain-findings.ts';
import { readUpTo } from './clamped-read.ts';
import { attribute, type DirectoryEntry, firstClusterOf, slotBytes } from './directory-entry.ts';
import type { CardNode, ChainState, FileNode, FolderNode, LitterKind, Run } from './examined-card.ts';
import { clusterOffsetBytes, type FatGeometry, rootOffsetBytes } from './fat-geometry.ts';
import { finding } from './finding-codes.ts';
import { litterByName } from './litter.ts';
import { decodeFolder, type FolderEntry } from './read-folder.ts';
import { type Chain, type ChainMap, walkChain } from './walk-chain.ts';

const maxSlots = 65_536;
const maxDepth = 64;
const maxNodes = 200_000;

export interface Tree {
  readonly root: FolderNode;
  readonly nodes: readonly CardNode[];
  readonly label: string | null;
  readonly complete: boolean;
  readonly findings: readonly Finding[];
}

type Changing<T> = { -readonly [K in keyof T]: T[K] };
type Folder = Changing<FolderNode> & { children: CardNode[] };

export function readTree(
  blocks: BlockReader,
  startBytes: number,
  geometry: FatGeometry,
  map: ChainMap,
): Tree {
  const nodes: CardNode[] = [];
  const damage: Finding[] = [];
  const chains: WalkedChain[] = [];
  let complete = true;
  let label: string | null = null;

  const damaged = (folder: FolderNode, problems: readonly string[]): void => {
    complete = false;
    const more = problems.length > 3 ? `; and ${problems.length - 3} more` : '';
    damage.push(
      finding('directory-damaged', {
        summary: 'A folder on the card is damaged.',
        seen: problems.slice(0, 3).join('; ') + more,
        where: folder.path === '' ? 'the root folder' : folder.path,
        next: 'Run prepare with --fresh: it keeps what can be read and lays the card out anew.',
      }),
    );
  };

  const root = rootFolder(geometry);
  if (geometry.bits === 32) {
    const chain = walkChain(map, geometry.rootCluster);
    take(root, chain, undefined, chains);
  }
  const queue: { folder: Folder; depth: number }[] = [{ folder: root, depth: 0 }];
  for (let next = 0; next < queue.length; next++) {
    const { folder, depth } = queue[next]!;
    const problems: string[] = [];
    const { bytes, cut } = readSlots(blocks, startBytes, geometry, folder);
    if (cut) problems.push(`more than ${formatBytes(maxSlots)} entries`);
    const slots = decodeFolder(bytes, folder.parent === null);
    problems.push(...slots.problems);
    folder.slotCount = Math.floor(bytes.length / slotBytes);
    folder.endSlot = slots.endSlot;
    folder.deletedSlots = slots.deletedSlots;
    if (folder.parent === null) {
      folder.labelSlot = slots.label?.slot ?? null;
      label = slots.label?.text ?? null;
    } else if (folder.chain !== 'cross-linked' && bytes.length > 0)
      problems.push(...dotProblems(slots.dots, folder, geometry));

    for (const found of slots.entries) {
      if (nodes.length >= maxNodes) {
        problems.push(`more than ${formatBytes(maxNodes)} files on the card`);
        queue.length = next + 1;
        break;
      }
      const node = makeNode(found, folder, geometry);
      const problem = node.isFolder ? folderProblem(node, geometry) : undefined;
      if (problem !== undefined) {
        problems.push(problem);
        node.damaged = true;
      } else take(node, chainOf(map, node), geometry.clusterBytes, chains);
      folder.children.push(node as CardNode);
      nodes.push(node as CardNode);
      if (!node.isFolder || node.damaged) continue;
      if (depth + 1 >= maxDepth) problems.push(`folders more than ${maxDepth} deep`);
      else queue.push({ folder: node as Folder, depth: depth + 1 });
    }
    if (problems.length > 0) damaged(folder, problems);
  }
  const findings = [...limited(damage), ...chainFindings(chains, nodes, root, map)];
  return { root, nodes, label, complete, findings };
}

function rootFolder(geometry: FatGeometry): Folder {
  return {
    isFolder: true,
    parent: null,
    entry: null,
    path: '',
    name: '',
    shortName: '',
    hasLongName: false,
    caseBits: 0,
    slot: -1,
    firstSlot: -1,
    attributes: attribute.folder,
    firstCluster: geometry.rootCluster,
    sizeBytes: 0,
    runs: [],
    clusterCount: 0,
    chain: 'sound',
    litter: 'no',
    damaged: false,
    children: [],
    slotCount: 0,
    endSlot: 0,
    deletedSlots: [],
    labelSlot: null,
  };
}

function makeNode(found: FolderEntry, parent: Folder, geometry: FatGeometry): Changing<FileNode> | Folder {
  const { entry } = found;
  const isFolder = (entry.attributes & attribute.folder) !== 0;
  const facts = {
    path: parent.path === '' ? found.name : `${parent.path}/${found.name}`,
    name: found.name,
    shortName: found.shortName,
    hasLongName: found.hasLongName,
    caseBits: entry.caseBits,
    slot: found.slot,
    firstSlot: found.firstSlot,
    attributes: entry.attributes,
    firstCluster: firstClusterOf(entry, geometry.bits),
    runs: [] as readonly Run[],
    clusterCount: 0,
    chain: 'sound' as ChainState,
    litter: inheritedLitter(found.name, isFolder, parent),
    damaged: found.damaged,
    parent,
    entry,
  };
  if (!isFolder) return { ...facts, isFolder, sizeBytes: entry.sizeBytes };
  const empty = { children: [], slotCount: 0, endSlot: 0, deletedSlots: [], labelSlot: null };
  return { ...facts, isFolder, sizeBytes: 0, ...empty };
}

function inheritedLitter(name: string, isFolder: boolean, parent: FolderNode): LitterKind {
  return parent.litter !== 'no' ? parent.litter : litterByName(name, isFolder, parent.parent === null);
}

/** What makes a folder unfit to be entered. */
function folderProblem(node: Changing<FileNode> | Folder, geometry: FatGeometry): string | undefined {
  if (node.entry !== null && node.entry.sizeBytes !== 0) return `the folder “${node.name}” has a length`;
  for (let above: FolderNode | null = node.parent; above !== null; above = above.parent) {
    const start = above.parent === null ? geometry.rootCluster : above.firstCluster;
    if (node.firstCluster === start || node.firstCluster === 0)
      return `the folder “${node.name}” leads back to one that it is in`;
  }
  return undefined;
}

/** A file without a byte has no chain; everything else has one. */
function chainOf(map: ChainMap, node: CardNode | Changing<FileNode> | Folder): Chain {
  if (!node.isFolder && node.firstCluster === 0) return { runs: [], clusterCount: 0, state: 'sound' };
  return walkChain(map, node.firstCluster);
}

function take(
  node: Changing<FileNode> | Folder,
  chain: Chain,
  clusterBytes: number | undefined,
  chains: WalkedChain[],
): void {
  node.runs = chain.runs;
  node.clusterCount = chain.clusterCount;
  node.chain = chain.state;
  if (!node.isFolder && clusterBytes !== undefined && chain.state === 'sound') {
    const needed = Math.ceil(node.sizeBytes / clusterBytes);
    if (chain.clusterCount < needed) node.chain = 'short';
    if (chain.clusterCount > needed) node.chain = 'long';
  }
  if (node.chain !== 'sound') chains.push({ node: node as CardNode, chain });
}

/** All slots of a folder, as many as a folder may have; `cut` where it goes on. */
function readSlots(
  blocks: BlockReader,
  startBytes: number,
  geometry: FatGeometry,
  folder: FolderNode,
): { bytes: Uint8Array; cut: boolean } {
  if (folder.parent === null && geometry.bits !== 32) {
    const bytes = readUpTo(
      blocks,
      startBytes + rootOffsetBytes(geometry),
      geometry.rootEntryCount * slotBytes,
    );
    return { bytes, cut: false };
  }
  const whole = folder.clusterCount * geometry.clusterBytes;
  const wanted = Math.min(whole, maxSlots * slotBytes);
  const parts: Uint8Array[] = [];
  let left = wanted;
  for (const run of folder.runs) {
    if (left === 0) break;
    const length = Math.min(left, run.clusterCount * geometry.clusterBytes);
    const part = readUpTo(blocks, startBytes + clusterOffsetBytes(geometry, run.firstCluster), length);
    parts.push(part);
    if (part.length < length) break;
    left -= length;
  }
  if (parts.length === 1) return { bytes: parts[0]!, cut: whole > wanted };
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return { bytes, cut: whole > wanted };
}

/** Section 6.5: the first two entries of a folder name itself and the one above, the root as 0. */
function dotProblems(
  dots: readonly (DirectoryEntry | undefined)[],
  folder: FolderNode,
  geometry: FatGeometry,
): string[] {
  const [self, above] = dots;
  if (self === undefined || above === undefined) return ['its entries “.” and “..” are missing'];
  const parent = folder.parent;
  const parentStart = parent === null || parent.parent === null ? 0 : parent.firstCluster;
  const problems: string[] = [];
  if (firstClusterOf(self, geometry.bits) !== folder.firstCluster)
    problems.push('its entry “.” leads elsewhere');
  const aboveStart = firstClusterOf(above, geometry.bits);
  const asRoot = parentStart === 0 && geometry.bits === 32 && aboveStart === geometry.rootCluster;
  if (aboveStart !== parentStart && !asRoot) problems.push('its entry “..” leads elsewhere');
  if ((self.attributes & above.attributes & attribute.folder) === 0)
    problems.push('its entry “.” or “..” is no folder');
  return problems;
}
