// The one entry that is made anew in a folder that exists: the image's own, or that of the first folder on the
// way that is missing. Where it goes, and what makes room for it. Slots alone; clusters are found elsewhere.

import type { CardRule } from '../../manifest/schema.ts';
import { type CardName, planCardName, shortNameKey } from '../fat/card-name.ts';
import { slotBytes } from '../fat/directory-entry.ts';
import { longNameUnits } from '../fat/long-name.ts';
import type { CardNode, FatVolume, FolderNode } from '../look/examined-card.ts';
import { type FolderRoom, maxFolderSlots, type Occupant, type Place, planPlace } from './folder-room.ts';
import { overlaySectorBytes } from './sector-overlay.ts';
import { leadsTo, type TidyChoice } from './tidy-choice.ts';

export interface NewEntry {
  readonly folder: FolderNode;
  readonly name: CardName;
  readonly place: Place;
}

export type TidyRefusal =
  | { readonly kind: 'no-room'; readonly what: 'clusters' | 'run' | 'folder' | 'slots' }
  | { readonly kind: 'rule-impossible'; readonly why: string };

const slotsPerSector = overlaySectorBytes / slotBytes;

/** Slots that one sector holds change all at once or not at all. */
export function inOneSector(...slots: readonly number[]): boolean {
  return new Set(slots.map((slot) => Math.floor(slot / slotsPerSector))).size <= 1;
}

export function slotsOf(name: CardName): number {
  return 1 + (name.long === undefined ? 0 : Math.ceil(name.long.length / longNameUnits));
}

function roomOf(volume: FatVolume, folder: FolderNode, choice: TidyChoice): FolderRoom {
  const { own } = choice;
  const removed = new Set<CardNode>(choice.removed);
  // The image's old entry makes way in the same write as the new one comes, where one sector holds it.
  const vacates = (child: CardNode) =>
    child === own ? inOneSector(child.firstSlot, child.slot) : removed.has(child) && !leadsTo(child, own);
  const occupantOf = (child: CardNode): Occupant => ({
    firstSlot: child.firstSlot,
    lastSlot: child.slot,
    movable: child !== own,
  });
  const occupants = folder.children.filter((child) => !vacates(child)).map(occupantOf);
  const vacating = folder.children.filter(vacates).map(occupantOf);
  if (folder.labelSlot !== null) {
    occupants.push({ firstSlot: folder.labelSlot, lastSlot: folder.labelSlot, movable: true });
  }
  if (folder.parent !== null) occupants.push({ firstSlot: 0, lastSlot: 1, movable: false });
  const isFixed = folder.parent === null && volume.geometry.bits !== 32;
  return {
    slotCount: folder.slotCount,
    occupants,
    vacating,
    growableSlots: isFixed ? 0 : maxFolderSlots - folder.slotCount,
  };
}

function folderName(part: string, folder: FolderNode, choice: TidyChoice): CardName | undefined {
  const removed = new Set<CardNode>(choice.removed);
  const taken = folder.children
    .filter((child) => !removed.has(child))
    .map((child) => (child.entry === null ? '' : shortNameKey(child.entry.name)));
  return planCardName(part, false, new Set(taken));
}

/** undefined where no entry is made. */
export function planNewEntry(
  volume: FatVolume,
  rule: Pick<CardRule, 'rootSlots'>,
  choice: TidyChoice,
): NewEntry | TidyRefusal | undefined {
  if (choice.ownEntryStays) return undefined;
  const folder = choice.way.at(-1) ?? volume.root;
  const missing = choice.missingFolders[0];
  const tooLate = {
    kind: 'rule-impossible',
    why: `its entry cannot be among the first ${rule.rootSlots}`,
  } as const;
  // A folder begins with two entries of its own.
  const ownSlots = folder.parent === null && missing === undefined ? 0 : 2;
  if (rule.rootSlots > 0 && ownSlots + slotsOf(choice.imageName) > rule.rootSlots) return tooLate;
  const name = missing === undefined ? choice.imageName : folderName(missing, folder, choice);
  if (name === undefined) return { kind: 'rule-impossible', why: 'its folder cannot be given a name' };
  const room = roomOf(volume, folder, choice);
  const place = planPlace(room, slotsOf(name), missing === undefined ? rule.rootSlots : 0);
  if (place !== undefined) return { folder, name, place };
  // The entries in its way have nowhere to go on this card; on one that is laid out anew there are none.
  return { kind: 'no-room', what: planPlace(room, slotsOf(name), 0) === undefined ? 'folder' : 'slots' };
}
