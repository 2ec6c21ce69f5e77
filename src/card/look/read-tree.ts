// Reads all folders of a FAT volume and follows the chain of every file and folder in them. Bounded whatever the
// card says: a cluster is used once, a folder has at most 65,536 entries, and depth and number of files have
// limits. Damage becomes findings; the reading goes on with what is left.

import type { BlockReader } from '../../ports/blocks.ts';
import type { Finding } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import { clusterOffsetBytes } from '../cluster-geometry.ts';
import { firstClusterOf, slotBytes } from '../fat/directory-entry.ts';
import { fatMarks } from '../fat/fat.ts';
import { type FatGeometry, rootOffsetBytes } from '../fat/fat-geometry.ts';
import { chainFindings, limited, ownerOf, type WalkedChain } from './chain-findings.ts';
import { readUpTo } from './clamped-read.ts';
import { damagedFolder } from './damaged-folder.ts';
import type { CardNode, FolderNode } from './examined-card.ts';
import { decodeFolder } from './read-folder.ts';
import { maxDepth, maxNodes } from './tree-limits.ts';
import {
  dotProblems,
  folderProblem,
  makeNode,
  type NewFolder,
  type NewNode,
  rootFolder,
} from './tree-node.ts';
import { type Chain, type ChainMap, walkChain } from './walk-chain.ts';

const maxSlots = 65_536;
/** Of all folders together, unused ones counted: half a GiB of reading. */
const maxSlotsOfAll = 2 ** 24;

export interface Tree {
  readonly root: FolderNode;
  /** Every node but the root, folders before what is in them. */
  readonly nodes: readonly CardNode[];
  readonly label: string | null;
  /** false where damage or a limit may hide a part. */
  readonly complete: boolean;
  readonly findings: readonly Finding[];
}

export function readTree(
  blocks: BlockReader,
  startBytes: number,
  geometry: FatGeometry,
  map: ChainMap,
): Tree {
  return new TreeReading(blocks, startBytes, geometry, map).run();
}

interface Waiting<T> {
  readonly node: T;
  readonly depth: number;
}

class TreeReading {
  readonly #blocks: BlockReader;
  readonly #startBytes: number;
  readonly #geometry: FatGeometry;
  readonly #map: ChainMap;
  readonly #nodes: CardNode[] = [];
  readonly #chains: WalkedChain[] = [];
  readonly #damage: { readonly folder: FolderNode; readonly finding: Finding }[] = [];
  readonly #folders: Waiting<NewFolder>[] = [];
  readonly #damagedNodes: Waiting<NewNode>[] = [];
  #label: string | null = null;
  #foldersRead = 0;
  #slotsLeft = maxSlotsOfAll;

  constructor(blocks: BlockReader, startBytes: number, geometry: FatGeometry, map: ChainMap) {
    this.#blocks = blocks;
    this.#startBytes = startBytes;
    this.#geometry = geometry;
    this.#map = map;
  }

  run(): Tree {
    const root = rootFolder(this.#geometry);
    if (this.#geometry.bits === 32) this.#follow(root, true);
    this.#folders.push({ node: root, depth: 0 });
    this.#readFolders();
    // What has a damaged entry comes last, and its chain is not told of: it may lead anywhere, and must not take
    // clusters from sound files. It is followed all the same, so that `prepare` can keep a copy.
    for (let next = 0; next < this.#damagedNodes.length; next++) {
      this.#followDamaged(this.#damagedNodes[next]!);
      this.#readFolders();
    }
    const chains = chainFindings(this.#chains, this.#nodes, root, fatMarks[this.#map.bits].bad);
    const findings = [...limited(this.#folderFindings(root)), ...chains];
    const complete = this.#damage.length === 0;
    return { root, nodes: this.#nodes, label: this.#label, complete, findings };
  }

  #readFolders(): void {
    while (this.#foldersRead < this.#folders.length) this.#readFolder(this.#folders[this.#foldersRead++]!);
  }

  #readFolder({ node: folder, depth }: Waiting<NewFolder>): void {
    const problems: string[] = [];
    if (this.#slotsLeft <= 0) {
      const seen = `more than ${formatBytes(maxSlotsOfAll)} entries in all folders`;
      this.#damage.push({ folder, finding: damagedFolder(folder, [seen]) });
      return;
    }
    const { bytes, cut } = readSlots(this.#blocks, this.#startBytes, this.#geometry, folder);
    if (cut) problems.push(`more than ${formatBytes(maxSlots)} entries`);
    const slots = decodeFolder(bytes, folder.parent === null);
    problems.push(...slots.problems);
    folder.slotCount = Math.floor(bytes.length / slotBytes);
    this.#slotsLeft -= folder.slotCount;
    folder.endSlot = slots.endSlot;
    folder.deletedSlots = slots.deletedSlots;
    if (folder.parent === null) {
      folder.labelSlot = slots.label?.slot ?? null;
      this.#label = slots.label?.text ?? null;
    } else if (bytes.length > 0) problems.push(...dotProblems(slots.dots, folder, this.#geometry));

    for (const found of slots.entries) {
      if (this.#nodes.length >= maxNodes) {
        problems.push(`more than ${formatBytes(maxNodes)} files on the card`);
        break;
      }
      const node = makeNode(found, folder, this.#geometry);
      folder.children.push(node as CardNode);
      this.#nodes.push(node as CardNode);
      const problem = node.isFolder ? folderProblem(node, this.#geometry) : undefined;
      if (problem !== undefined) {
        // It would lead into itself: never entered.
        problems.push(problem);
        node.damaged = true;
      } else if (node.damaged) this.#damagedNodes.push({ node, depth: depth + 1 });
      else {
        this.#follow(node, true);
        if (!node.isFolder) continue;
        if (depth + 1 >= maxDepth) problems.push(`folders more than ${maxDepth} deep`);
        else this.#folders.push({ node, depth: depth + 1 });
      }
    }
    if (problems.length > 0) this.#damage.push({ folder, finding: damagedFolder(folder, problems) });
  }

  #followDamaged({ node, depth }: Waiting<NewNode>): void {
    this.#follow(node, false);
    if (!node.isFolder || node.chain !== 'sound' || depth >= maxDepth) return;
    // A name may be damaged and the folder behind it whole; garbage that calls itself a folder is not entered.
    const { bytes } = readSlots(this.#blocks, this.#startBytes, this.#geometry, node);
    const [self] = decodeFolder(bytes, false).dots;
    if (self !== undefined && firstClusterOf(self, this.#geometry.bits) === node.firstCluster) {
      this.#folders.push({ node, depth });
    }
  }

  #follow(node: NewNode, telling: boolean): void {
    const chain = chainOf(this.#map, node);
    node.runs = chain.runs;
    node.clusterCount = chain.clusterCount;
    node.chain = chain.state;
    if (!node.isFolder && chain.state === 'sound') {
      const needed = Math.ceil(node.sizeBytes / this.#geometry.clusterBytes);
      if (chain.clusterCount < needed) node.chain = 'short';
      if (chain.clusterCount > needed) node.chain = 'long';
    }
    if (node.chain !== 'sound' && telling) this.#chains.push({ node: node as CardNode, chain });
  }

  /** A folder that shares its clusters with a file reads as damaged because of that: the sharing is told. */
  #folderFindings(root: FolderNode): Finding[] {
    if (this.#damage.length === 0) return [];
    const shared = this.#chains.slice(0, 100).flatMap(({ node, chain }) => {
      if (node.chain !== 'cross-linked') return [];
      return [node, ownerOf(chain.at ?? 0, node, [root, ...this.#nodes])];
    });
    return this.#damage.filter(({ folder }) => !shared.includes(folder)).map((one) => one.finding);
  }
}

/** A file without a byte has no chain; everything else has one. */
function chainOf(map: ChainMap, node: NewNode): Chain {
  if (!node.isFolder && node.firstCluster === 0) return { runs: [], clusterCount: 0, state: 'sound' };
  return walkChain(map, node.firstCluster);
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
