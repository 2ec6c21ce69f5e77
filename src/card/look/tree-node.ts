// One entry of a folder as a node of the tree, and what makes a folder unfit to be entered. Follows no chain and
// reads nothing: what a node's clusters are is filled in by `read-tree.ts`.

import { attribute, type DirectoryEntry, firstClusterOf } from '../fat/directory-entry.ts';
import type { FatGeometry } from '../fat/fat-geometry.ts';
import type { CardNode, ChainState, FileNode, FolderNode, LitterKind, Run } from './examined-card.ts';
import { litterByName } from './litter.ts';
import type { FolderEntry } from './read-folder.ts';

type Changing<T> = { -readonly [K in keyof T]: T[K] };

/** Nodes while the tree is being read. */
export type NewFolder = Changing<FolderNode> & { children: CardNode[] };
export type NewNode = Changing<FileNode> | NewFolder;

export function rootFolder({ rootCluster }: Pick<FatGeometry, 'rootCluster'>): NewFolder {
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
    firstCluster: rootCluster,
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

export function makeNode(found: FolderEntry, parent: NewFolder, geometry: FatGeometry): NewNode {
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

export function inheritedLitter(name: string, isFolder: boolean, parent: FolderNode): LitterKind {
  return parent.litter !== 'no' ? parent.litter : litterByName(name, isFolder, parent.parent === null);
}

/** What makes a folder unfit to be entered. */
export function folderProblem(node: NewNode, geometry: FatGeometry): string | undefined {
  if (node.entry !== null && node.entry.sizeBytes !== 0) return `the folder “${node.name}” has a length`;
  for (let above: FolderNode | null = node.parent; above !== null; above = above.parent) {
    const start = above.parent === null ? geometry.rootCluster : above.firstCluster;
    if (node.firstCluster === start || node.firstCluster === 0)
      return `the folder “${node.name}” leads back to one that it is in`;
  }
  return undefined;
}

/** Section 6.5: the first two entries of a folder name itself and the one above, the root as 0. */
export function dotProblems(
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
