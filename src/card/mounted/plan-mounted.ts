// What is done to a mounted card, as orders to its file system: which files and folders go, and how the image gets to its
// place under its name. Decides only. Which clusters and slots are used is the system's business there, so nothing is
// planned for a card rule that asks for them, but that a file seen in pieces is written anew.

import type { CardRule, Release } from '../../manifest/schema.ts';
import type { VolumePath } from '../../ports/volumes.ts';
import type { CardNode, FileNode } from '../look/examined-card.ts';
import { imagePath } from '../look/image-place.ts';
import type { PlanStep } from '../plan-step.ts';
import { chooseTidy, filesToKeep, subtree } from '../tidy/tidy-choice.ts';
import type { MountedCard } from './mounted-card.ts';
import { pathOf } from './read-mounted-tree.ts';

export interface MountedPlan {
  readonly kind: 'plan';
  readonly fresh: false;
  /** Empty where every file is right as it is. */
  readonly steps: readonly PlanStep[];
  readonly keep: readonly FileNode[];
  /** Files before the folders that they are in. */
  readonly remove: readonly CardNode[];
  readonly makeFolders: readonly VolumePath[];
  readonly target: VolumePath;
  /** A short name that nothing in the image's folder has: the image gets its own name once it is whole. */
  readonly temporary: VolumePath;
  readonly writesImage: boolean;
  /** There is no room for the image beside what goes. */
  readonly removesFirst: boolean;
  /** The file that holds the image's bytes under another name or in another place. */
  readonly rename: FileNode | undefined;
  /** Which of `keep` holds the image's bytes, where they are taken from the card itself. */
  readonly ownImage: number | undefined;
}

export interface MountedPlanRequest {
  readonly release: Release;
  readonly rule: CardRule;
  /** The file with the image's bytes; undefined where they have to be written in any case. */
  readonly holder: FileNode | undefined;
  /** The card itself shows the holder in several pieces, and the card rule wants one: it is written anew, as a new file. */
  readonly inPieces?: boolean;
}

const upper = (text: string) => text.replace(/[a-z]/g, (letter) => letter.toUpperCase());

function unusedName(names: readonly string[]): string {
  const taken = new Set(names.map(upper));
  for (let number = 0; ; number++) {
    const name = `NEW${String(number).padStart(5, '0')}.TMP`;
    if (!taken.has(name)) return name;
  }
}

/** undefined where the release's name cannot be given on such a card. */
export function planMounted(card: MountedCard, request: MountedPlanRequest): MountedPlan | undefined {
  const { release, rule, holder } = request;
  const { image } = release;
  const inPieces = holder !== undefined && request.inPieces === true;
  const stands = inPieces ? undefined : holder;
  const choice = chooseTidy(card.tree, { ...rule, contiguous: false, rootSlots: 0 }, image, stands);
  if (choice === undefined) return undefined;
  const { way, missingFolders, imageName, own } = choice;
  const removed = [...choice.removed];
  // Where other files may stay, this one must not: it would be a second image.
  if (inPieces && !removed.some((top) => [...subtree(top)].includes(holder))) removed.push(holder);
  // The bytes of a holder in pieces are the image's, and come from elsewhere or from a copy that is kept of it.
  const keep = filesToKeep(removed, inPieces ? holder : own);
  const plain = imageName.long === undefined && card.fileSystem !== 'exfat';
  const name = plain ? upper(image.name) : image.name;
  const last = way.at(-1);
  const base = last === undefined ? [] : pathOf(last);
  const folder = [...base, ...missingFolders];
  const stays = own !== undefined && missingFolders.length === 0 && own.parent === last && own.name === name;
  // The new name must be free of the old one, which differs from it by case alone on such a card.
  const rename = own !== undefined && !stays ? own : undefined;
  const nodes = removed.flatMap((top) => [...subtree(top, own)]);
  // A folder through which the image's own file is reached goes once that is elsewhere.
  const remove = nodes.reverse();
  const writesImage = own === undefined;
  const steps: PlanStep[] = [
    ...keep.map((file): PlanStep => ({ do: 'keep', path: file.path, bytes: file.sizeBytes })),
    ...removed.map((top): PlanStep => {
      const files = [...subtree(top, own)].filter((node) => !node.isFolder);
      return {
        do: 'remove',
        path: top.path,
        files: top.isFolder ? files.length : 0,
        bytes: files.reduce((sum, file) => sum + file.sizeBytes, 0),
      };
    }),
    ...missingFolders.map(
      (_, depth): PlanStep => ({
        do: 'make-folder',
        path: [...base, ...missingFolders.slice(0, depth + 1)].join('/'),
      }),
    ),
    ...(writesImage ? [{ do: 'write', path: imagePath(image), bytes: image.bytes } as const] : []),
    ...(rename === undefined ? [] : [{ do: 're-enter', path: imagePath(image), from: rename.path } as const]),
  ];
  const siblings = missingFolders.length === 0 ? (last?.children ?? []).map((node) => node.name) : [];
  return {
    kind: 'plan',
    fresh: false,
    steps,
    keep,
    remove,
    makeFolders: missingFolders.map((_, depth) => [...base, ...missingFolders.slice(0, depth + 1)]),
    target: [...folder, name],
    temporary: [...base, unusedName([...siblings, ...(last?.children ?? []).map((node) => node.name)])],
    writesImage,
    removesFirst: writesImage && card.freeBytes < image.bytes + 2 * card.clusterBytes,
    rename,
    ownImage: undefined,
  };
}

/** The image's bytes come from the card itself: its file is kept first, and then written anew. */
export function fromCardItself(plan: MountedPlan, holder: FileNode): MountedPlan {
  if (!plan.writesImage) return plan;
  const at = plan.keep.indexOf(holder);
  if (at >= 0) return { ...plan, ownImage: at };
  const step: PlanStep = { do: 'keep', path: holder.path, bytes: holder.sizeBytes };
  return { ...plan, ownImage: 0, keep: [holder, ...plan.keep], steps: [step, ...plan.steps] };
}
