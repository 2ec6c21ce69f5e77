// Reads all folders of an exFAT volume and finds the clusters of every file and folder in them. Bounded whatever the card
// says: a cluster is used once; entries, depth and number of files have limits. Damage becomes findings; the reading goes
// on with what is left. What a name is compared by comes from the volume's own up-case table.

import type { BlockReader } from '../../ports/blocks.ts';
import type { Finding } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import { clusterOffsetBytes } from '../cluster-geometry.ts';
import { decodeExfatFolder, type ExfatFile, type ExfatSlots } from '../exfat/entry-set.ts';
import type { ExfatGeometry } from '../exfat/exfat-boot.ts';
import { entryBytes, folderAttribute } from '../exfat/exfat-entry.ts';
import type { UpCaseTable } from '../exfat/up-case-table.ts';
import { planCardName } from '../fat/card-name.ts';
import { caseBitBase, caseBitExtension } from '../fat/short-name.ts';
import { chainFindings, limited, type WalkedChain } from './chain-findings.ts';
import { readUpTo } from './clamped-read.ts';
import { damagedFolder } from './damaged-folder.ts';
import type { CardNode, ChainState, FolderNode, Run } from './examined-card.ts';
import { type ExfatClusters, exfatMarks } from './exfat-clusters.ts';
import { maxDepth, maxNodes } from './tree-limits.ts';
import { inheritedLitter, type NewFolder, type NewNode } from './tree-node.ts';

/** Of one folder; the specification lets it have eight times as many. */
const maxSlots = 2 ** 20;
/** Of all folders together: half a GiB of reading. */
const maxSlotsOfAll = 2 ** 24;

export interface ExfatTree {
  readonly root: FolderNode;
  /** Every node but the root, folders before what is in them. */
  readonly nodes: readonly CardNode[];
  readonly label: string | null;
  /** false where damage or a limit may hide a part. */
  readonly complete: boolean;
  readonly findings: readonly Finding[];
}

/** A volume that is being looked into. */
export interface ExfatContent {
  readonly blocks: BlockReader;
  readonly startBytes: number;
  readonly geometry: ExfatGeometry;
  readonly clusters: ExfatClusters;
}

/** What a folder holds; `cut` where it goes on beyond what is read. */
interface FolderSlots {
  readonly slots: ExfatSlots;
  readonly cut: boolean;
}

/** The entries of a folder whose clusters are known; `cut` where it goes on beyond what is read. */
export function readExfatSlots(
  blocks: BlockReader,
  startBytes: number,
  geometry: ExfatGeometry,
  runs: readonly Run[],
): { readonly bytes: Uint8Array; readonly cut: boolean } {
  const parts: Uint8Array[] = [];
  let left = maxSlots * entryBytes;
  for (const run of runs) {
    const length = Math.min(left, run.clusterCount * geometry.clusterBytes);
    const part = readUpTo(blocks, startBytes + clusterOffsetBytes(geometry, run.firstCluster), length);
    parts.push(part);
    left -= part.length;
    if (left === 0 || part.length < length) break;
  }
  const whole = runs.reduce((sum, run) => sum + run.clusterCount * geometry.clusterBytes, 0);
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return { bytes, cut: whole > maxSlots * entryBytes };
}

/** As units that look for plain names see it: exFAT itself has no short ones. */
function namesOf(name: string): Pick<CardNode, 'shortName' | 'hasLongName' | 'caseBits'> {
  const upper = name.replace(/[a-z]/g, (letter) => letter.toUpperCase());
  if (planCardName(name, true, new Set()) === undefined)
    return { shortName: name, hasLongName: true, caseBits: 0 };
  return {
    shortName: upper,
    hasLongName: false,
    caseBits: name === upper ? 0 : caseBitBase | caseBitExtension,
  };
}

function nodeOf(file: ExfatFile, parent: NewFolder): NewNode {
  const isFolder = (file.attributes & folderAttribute) !== 0;
  const facts = {
    path: parent.path === '' ? file.name : `${parent.path}/${file.name}`,
    name: file.name,
    ...namesOf(file.name),
    slot: file.slot,
    firstSlot: file.slot,
    attributes: file.attributes,
    firstCluster: file.firstCluster,
    runs: [] as readonly Run[],
    clusterCount: 0,
    chain: 'sound' as ChainState,
    litter: inheritedLitter(file.name, isFolder, parent),
    damaged: file.damaged,
    parent,
    entry: null,
  };
  if (isFolder) {
    const empty = { children: [], slotCount: 0, endSlot: 0, deletedSlots: [], labelSlot: null };
    return { ...facts, isFolder, sizeBytes: 0, ...empty };
  }
  const { dataLength, validDataLength } = file;
  const valid = validDataLength < dataLength ? { validBytes: validDataLength } : {};
  return { ...facts, isFolder, sizeBytes: dataLength, ...valid };
}

interface Waiting {
  readonly node: NewNode;
  readonly file: ExfatFile;
  readonly depth: number;
}

class ExfatTreeReading {
  readonly #content: ExfatContent;
  readonly #table: UpCaseTable;
  readonly #nodes: CardNode[] = [];
  readonly #chains: WalkedChain[] = [];
  readonly #damage: Finding[] = [];
  readonly #folders: { readonly node: NewFolder; readonly depth: number }[] = [];
  /** What has a damaged entry may lead anywhere, and must not take clusters from sound files: it comes last. */
  readonly #damaged: Waiting[] = [];
  #slotsLeft = maxSlotsOfAll;
  #isHidden = false;

  constructor(content: ExfatContent, table: UpCaseTable) {
    this.#content = content;
    this.#table = table;
  }

  run(root: NewFolder, first: FolderSlots): ExfatTree {
    this.#take(root, first, 0);
    const { label } = first.slots;
    let folders = 0;
    let damaged = 0;
    while (folders < this.#folders.length || damaged < this.#damaged.length) {
      const next = this.#folders[folders];
      if (next !== undefined) {
        folders++;
        this.#readFolder(next.node, next.depth);
        continue;
      }
      const { node, file } = this.#damaged[damaged++] as Waiting;
      this.#follow(node, file, false);
    }
    const chains = chainFindings(this.#chains, this.#nodes, root, exfatMarks.bad);
    return {
      root,
      nodes: this.#nodes,
      label: label === null || label.text === '' ? null : label.text,
      complete: this.#damage.length === 0 && !this.#isHidden,
      findings: [...limited(this.#damage), ...chains],
    };
  }

  #readFolder(folder: NewFolder, depth: number): void {
    if (this.#slotsLeft <= 0) {
      const seen = `more than ${formatBytes(maxSlotsOfAll)} entries in all folders`;
      this.#damage.push(damagedFolder(folder, [seen]));
      return;
    }
    const { blocks, startBytes, geometry } = this.#content;
    const { bytes, cut } = readExfatSlots(blocks, startBytes, geometry, folder.runs);
    folder.slotCount = Math.floor(bytes.length / entryBytes);
    const slots = decodeExfatFolder(bytes, false, this.#table);
    this.#take(folder, { slots, cut }, depth);
  }

  #take(folder: NewFolder, { slots, cut }: FolderSlots, depth: number): void {
    const problems = [...(cut ? [`more than ${formatBytes(maxSlots)} entries`] : []), ...slots.problems];
    this.#slotsLeft -= folder.slotCount;
    folder.endSlot = slots.endSlot;
    folder.deletedSlots = slots.deletedSlots;
    folder.labelSlot = slots.label?.slot ?? null;
    for (const file of slots.files) {
      if (this.#nodes.length >= maxNodes) {
        problems.push(`more than ${formatBytes(maxNodes)} files on the card`);
        break;
      }
      const node = nodeOf(file, folder);
      const problem = node.isFolder ? this.#folderProblem(file) : undefined;
      if (problem !== undefined) {
        problems.push(problem);
        node.damaged = true;
      }
      folder.children.push(node as CardNode);
      this.#nodes.push(node as CardNode);
      if (node.damaged) {
        this.#damaged.push({ node, file, depth: depth + 1 });
        continue;
      }
      this.#follow(node, file, true);
      if (!node.isFolder) continue;
      if (depth + 1 >= maxDepth) problems.push(`folders more than ${maxDepth} deep`);
      else if (node.chain === 'sound') this.#folders.push({ node, depth: depth + 1 });
      // Told as a chain; what is in it is not seen.
      else this.#isHidden = true;
    }
    if (problems.length > 0) this.#damage.push(damagedFolder(folder, problems));
  }

  /** Section 7.6.7: a folder is as long as its clusters, and all of it was written. */
  #folderProblem({ name, dataLength, validDataLength }: ExfatFile): string | undefined {
    const { clusterBytes } = this.#content.geometry;
    if (dataLength === 0 || dataLength % clusterBytes !== 0)
      return `the folder “${name}” has a length of ${formatBytes(dataLength)} bytes, no whole clusters`;
    return validDataLength === dataLength ? undefined : `the folder “${name}” was not written to its end`;
  }

  #follow(node: NewNode, file: ExfatFile, telling: boolean): void {
    const chain = this.#content.clusters.follow(file);
    node.runs = chain.runs;
    node.clusterCount = chain.clusterCount;
    node.chain = chain.state;
    const needed = Math.ceil(file.dataLength / this.#content.geometry.clusterBytes);
    if (chain.state === 'sound' && chain.clusterCount !== needed)
      node.chain = chain.clusterCount < needed ? 'short' : 'long';
    if (node.chain !== 'sound' && telling) this.#chains.push({ node: node as CardNode, chain });
  }
}

/** `first`: the root's entries, decoded with the table; `root.runs` are known. */
export function readExfatTree(
  content: ExfatContent,
  table: UpCaseTable,
  root: NewFolder,
  first: FolderSlots,
): ExfatTree {
  return new ExfatTreeReading(content, table).run(root, first);
}
