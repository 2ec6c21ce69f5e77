// What goes from a card and what stays, when its format is kept: decided from the look at the card, the card
// rule and which file holds the image's bytes. Plans no sectors; says nothing of what the unit accepts.

import type { CardRule } from '../../manifest/schema.ts';
import { type CardName, planCardName, sameCardName, shortNameKey } from '../fat/card-name.ts';
import type { CardNode, FileNode, FileTree, FolderNode } from '../look/examined-card.ts';
import { isEnteredAs, isNamed } from '../look/image-place.ts';

export interface WantedImage {
  readonly name: string;
  /** With `/` between folders; empty for the root. */
  readonly folder: string;
  readonly bytes: number;
}

export interface TidyChoice {
  /** The folders on the way to the image that are there, the root first. */
  readonly way: readonly FolderNode[];
  readonly missingFolders: readonly string[];
  readonly imageName: CardName;
  /** Files and folders that go, each with all that is in it, but without the image's own file. */
  readonly removed: readonly CardNode[];
  /** The file that holds the image's bytes and goes on holding them. */
  readonly own: FileNode | undefined;
  /** false: its entry must be made anew, under another name or in another place. */
  readonly ownEntryStays: boolean;
}

function wayTo(
  root: FolderNode,
  folder: string,
  shortNameOnly: boolean,
): { way: FolderNode[]; missing: string[]; blocked: CardNode | undefined } {
  const parts = folder === '' ? [] : folder.split('/');
  const way = [root];
  for (const [depth, part] of parts.entries()) {
    const children = way[depth]?.children ?? [];
    const entered = children.find((child) => isEnteredAs(child, part, shortNameOnly));
    if (entered?.isFolder) way.push(entered);
    else {
      // A file of that name, or a folder that the unit does not know by it: the name must be free for the new one.
      return { way, missing: parts.slice(depth), blocked: children.find((child) => isNamed(child, part)) };
    }
  }
  return { way, missing: [], blocked: undefined };
}

/** The file itself and every folder that it lies in. */
function lineage(node: CardNode): Set<CardNode> {
  const line = new Set<CardNode>();
  for (let at: CardNode | null = node; at !== null; at = at.parent) line.add(at);
  return line;
}

function entryFits(
  own: FileNode,
  name: CardName,
  rule: Pick<CardRule, 'shortNameOnly' | 'rootSlots'>,
): boolean {
  if (rule.rootSlots > 0 && own.slot >= rule.rootSlots) return false;
  if (rule.shortNameOnly && (own.hasLongName || own.caseBits !== 0)) return false;
  if (name.long !== undefined) return sameCardName(own.name, name.long);
  const plain = own.entry !== null && shortNameKey(own.entry.name) === shortNameKey(name.short);
  return plain && sameCardName(own.name, own.shortName);
}

/** undefined where the name cannot be given under the card rule. */
export function chooseTidy(
  volume: Pick<FileTree, 'root'>,
  rule: Pick<CardRule, 'onlyFile' | 'shortNameOnly' | 'rootSlots' | 'contiguous'>,
  image: WantedImage,
  holder: FileNode | undefined,
): TidyChoice | undefined {
  const { way, missing, blocked } = wayTo(volume.root, image.folder, rule.shortNameOnly);
  const target = missing.length === 0 ? way.at(-1) : undefined;
  const own = holder !== undefined && (!rule.contiguous || holder.runs.length <= 1) ? holder : undefined;
  const namesake = target?.children.find((child) => child !== own && isNamed(child, image.name));
  const stays = new Set<CardNode>(way);
  if (own !== undefined) stays.add(own);

  const removed = new Set<CardNode>();
  if (rule.onlyFile) {
    for (const folder of way) {
      for (const child of folder.children) if (!stays.has(child)) removed.add(child);
    }
  } else {
    for (const node of [blocked, namesake]) if (node !== undefined) removed.add(node);
    // The holder's bytes are written anew elsewhere: its old file would be in the way or a second image.
    if (holder !== undefined && own === undefined) removed.add(holder);
  }
  const staying = (target?.children ?? []).filter((child) => child !== own && !removed.has(child));
  const taken = new Set(staying.map((child) => (child.entry === null ? '' : shortNameKey(child.entry.name))));
  const imageName = planCardName(image.name, rule.shortNameOnly, taken);
  if (imageName === undefined) return undefined;
  const ownEntryStays = own !== undefined && own.parent === target && entryFits(own, imageName, rule);
  return { way, missingFolders: missing, imageName, removed: [...removed], own, ownEntryStays };
}

/** The node and all that is in it, folders first, without `except`. */
export function* subtree(node: CardNode, except?: CardNode): Generator<CardNode> {
  if (node === except) return;
  yield node;
  if (node.isFolder) for (const child of node.children) yield* subtree(child, except);
}

/** Removing this one takes the folder away through which the image's own file is reached. */
export function leadsTo(node: CardNode, own: FileNode | undefined): boolean {
  return own !== undefined && lineage(own).has(node);
}

/** A person's files among what goes: strays, and litter that may hold some. */
export function filesToKeep(removed: readonly CardNode[], except: CardNode | undefined): FileNode[] {
  const files: FileNode[] = [];
  for (const top of removed) {
    for (const node of subtree(top, except)) if (!node.isFolder && node.litter !== 'litter') files.push(node);
  }
  return files;
}
