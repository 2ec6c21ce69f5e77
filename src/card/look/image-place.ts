// Where a release's image belongs on a card, and which entry stands there. A unit that reads short names alone walks
// by the eleven bytes: a folder that only shows the right name as its long one does not lead it to the image.
// Judges nothing but names.

import { sameCardName } from '../fat/card-name.ts';
import type { CardNode, FolderNode } from './examined-card.ts';

/** With `/` between folders; `folder` is empty for the root. */
export function imagePath({ folder, name }: { readonly folder: string; readonly name: string }): string {
  return folder === '' ? name : `${folder}/${name}`;
}

/** A name on a FAT volume means the same file in upper and lower case, and by its short name as well. */
export function isNamed(node: CardNode, name: string): boolean {
  return sameCardName(node.name, name) || sameCardName(node.shortName, name);
}

/** The folder that a unit enters by that name. */
export function isEnteredAs(node: CardNode, name: string, shortNameOnly: boolean): node is FolderNode {
  return node.isFolder && (shortNameOnly ? sameCardName(node.shortName, name) : isNamed(node, name));
}

export function folderAt(root: FolderNode, path: string, shortNameOnly: boolean): FolderNode | undefined {
  let at: FolderNode | undefined = root;
  for (const part of path === '' ? [] : path.split('/')) {
    at = at?.children.find((node): node is FolderNode => isEnteredAs(node, part, shortNameOnly));
  }
  return at;
}
