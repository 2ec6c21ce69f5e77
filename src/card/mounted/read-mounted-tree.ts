// The files and folders of a mounted card, in the form in which a look at the card itself gives them, as far as they can
// be known from there: no slots, no clusters, no marks of the file system. Reads names and sizes alone; what it sees is
// bounded, whatever the card holds.

import { sha256Hex } from '../../bytes/sha256.ts';
import type { MountedVolume, VolumeEntry, VolumePath } from '../../ports/volumes.ts';
import { caseBitBase, caseBitExtension, encodeShortName } from '../fat/short-name.ts';
import type { CardNode, FileNode, FileTree, FolderNode } from '../look/examined-card.ts';
import { maxDepth, maxNodes } from '../look/tree-limits.ts';
import { inheritedLitter, type NewFolder, rootFolder } from '../look/tree-node.ts';

export interface MountedTree extends FileTree {
  /** Paths of what is neither file nor folder, or cannot be opened by its name. */
  readonly unknown: readonly string[];
  /** Digest over every name, kind, size and time: the same where nothing was changed. */
  readonly seen: string;
}

export function pathOf(node: CardNode): VolumePath {
  const parts: string[] = [];
  for (let at: CardNode | null = node; at !== null && at.parent !== null; at = at.parent)
    parts.unshift(at.name);
  return parts;
}

/** What a plain upper-case 8.3 name is shown as; any other has a long name, or marks of lower case. */
function shortNameOf(name: string): string | undefined {
  const upper = name.replace(/[a-z]/g, (letter) => letter.toUpperCase());
  return encodeShortName(upper) === undefined ? undefined : upper;
}

function factsOf(name: string, parent: NewFolder, isFolder: boolean) {
  const short = shortNameOf(name);
  return {
    path: parent.path === '' ? name : `${parent.path}/${name}`,
    name,
    // The alias of a long name is not shown: no unit is taken to find anything by it.
    shortName: short ?? name,
    hasLongName: short === undefined,
    caseBits: short === undefined || short === name ? 0 : caseBitBase | caseBitExtension,
    slot: -1,
    firstSlot: -1,
    attributes: 0,
    firstCluster: 0,
    runs: [],
    clusterCount: 0,
    chain: 'sound' as const,
    litter: inheritedLitter(name, isFolder, parent),
    damaged: false,
    parent,
    entry: null,
  };
}

function folderNode(name: string, parent: NewFolder): NewFolder {
  const empty = { children: [], slotCount: 0, endSlot: 0, deletedSlots: [], labelSlot: null };
  return { ...factsOf(name, parent, true), isFolder: true, sizeBytes: 0, ...empty };
}

function fileNode({ name, sizeBytes }: VolumeEntry, parent: NewFolder): FileNode {
  return { ...factsOf(name, parent, false), isFolder: false, sizeBytes };
}

export function readMountedTree(volume: Pick<MountedVolume, 'list'>): MountedTree {
  const root = rootFolder({ rootCluster: 0 });
  const nodes: CardNode[] = [];
  const unknown: string[] = [];
  const lines: string[] = [];
  let treeComplete = true;
  const open: { folder: NewFolder; path: VolumePath }[] = [{ folder: root, path: [] }];
  for (let next = open.shift(); next !== undefined; next = open.shift()) {
    const { folder, path } = next;
    for (const entry of volume.list(path)) {
      if (nodes.length + unknown.length >= maxNodes) {
        treeComplete = false;
        break;
      }
      lines.push(
        JSON.stringify([
          path,
          entry.name,
          entry.kind,
          entry.sizeBytes,
          entry.kind === 'file' ? entry.modifiedMs : 0,
        ]),
      );
      if (entry.kind === 'other') {
        unknown.push([...path, entry.name].join('/'));
        continue;
      }
      const node = entry.kind === 'folder' ? folderNode(entry.name, folder) : fileNode(entry, folder);
      folder.children.push(node as CardNode);
      nodes.push(node as CardNode);
      if (!node.isFolder) continue;
      if (path.length + 1 < maxDepth) open.push({ folder: node as NewFolder, path: [...path, entry.name] });
      else treeComplete = false;
    }
  }
  return { root: root as FolderNode, nodes, treeComplete, unknown, seen: sha256Hex(lines.join('\n')) };
}
