// Which files are on the card beside the image: strays, and litter that operating systems left. Empty folders
// count too, since they take a unit's first entries just as files do. Where the rule lets other files be, the same
// codes are notes.

import type { CardRule } from '../../manifest/schema.ts';
import type { Finding } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import type { CardNode, FileTree, FolderNode } from '../look/examined-card.ts';
import { folderAt } from '../look/image-place.ts';

import { finding } from './finding-codes.ts';

export type Role = 'image' | 'stray' | 'litter';

/** Names that are told one by one. */
const maxNamed = 4;

export function roleOf(node: CardNode, image: CardNode | null): Role {
  if (node === image) return 'image';
  return node.litter === 'no' ? 'stray' : 'litter';
}

/** Folders on the way to the image's place. */
function imageFolders(volume: FileTree, folder: string, shortNameOnly: boolean): Set<FolderNode> {
  const way = new Set<FolderNode>();
  for (let at = folderAt(volume.root, folder, shortNameOnly) ?? null; at !== null; at = at.parent)
    way.add(at);
  return way;
}

/** `told`: nodes that another finding has told of already. Damaged entries are told as a damaged folder. */
export function checkStrays(
  volume: FileTree,
  rule: CardRule,
  image: CardNode | null,
  imageFolder: string,
  told: ReadonlySet<CardNode>,
): Finding[] {
  const way: ReadonlySet<CardNode> = imageFolders(volume, imageFolder, rule.shortNameOnly);
  const counts = (node: CardNode): boolean =>
    node !== image &&
    !told.has(node) &&
    !node.damaged &&
    (!node.isFolder || (node.children.length === 0 && !way.has(node)));
  const others = volume.nodes.filter(counts);
  const strays = others.filter((node) => node.litter === 'no');
  const litter = others.filter((node) => node.litter !== 'no');
  const severity = rule.onlyFile ? undefined : 'note';
  const findings: Finding[] = [];
  if (strays.length > 0) {
    const summary = rule.onlyFile
      ? 'There are other files on the card; this unit takes the firmware file alone.'
      : 'There are other files on the card.';
    const next = rule.onlyFile
      ? 'Run prepare, which keeps a copy of each and removes it.'
      : 'Nothing: they may stay.';
    findings.push(finding('stray-file', { summary, ...named(strays), next }, severity));
  }
  if (litter.length > 0) {
    const summary = rule.onlyFile
      ? 'An operating system left files of its own on the card; this unit takes the firmware file alone.'
      : 'An operating system left files of its own on the card.';
    const next = rule.onlyFile
      ? 'Run prepare, which removes them, then eject the card.'
      : 'Nothing: they may stay.';
    findings.push(finding('litter', { summary, ...named(litter), next }, severity));
  }
  if (!rule.onlyFile && others.length > 0) {
    const summary = 'This unit lets other files be on the card.';
    findings.push(finding('strays-allowed', { summary, next: 'Nothing: this is allowed.' }));
  }
  return findings;
}

function named(nodes: readonly CardNode[]): { seen: string; where: string } {
  const text = (node: CardNode): string => (node.isFolder ? `${node.path}/ (empty)` : node.path);
  const names = nodes.slice(0, maxNamed).map(text).join(', ');
  const more = nodes.length - maxNamed;
  return { seen: more > 0 ? `${names}, and ${formatBytes(more)} more` : names, where: nodes[0]!.path };
}
