// Where in a folder a new entry goes: the earliest slots that are free, and where the card rule wants the image
// among the first slots, which entries have to make room for it. Slots alone; knows no names and no clusters.

export interface Occupant {
  readonly firstSlot: number;
  readonly lastSlot: number;
  /** `.` and `..` stay where they are. */
  readonly movable: boolean;
}

export interface FolderRoom {
  readonly slotCount: number;
  readonly occupants: readonly Occupant[];
  /** Entries that go before the new one comes, or with it: their slots are free for it, but for no other. */
  readonly vacating: readonly Occupant[];
  /** 0 for the fixed root of FAT12 and FAT16. */
  readonly growableSlots: number;
}

export interface Move {
  readonly occupant: Occupant;
  readonly toSlot: number;
}

export interface Place {
  /** The first of its slots. */
  readonly slot: number;
  readonly moves: readonly Move[];
  /** Slots that the folder must have; more than it has where it grows. */
  readonly slotCount: number;
}

/** A folder may be 2 MiB long: 65,536 slots (FAT specification, section 6.2). */
export const maxFolderSlots = 65_536;

const length = (occupant: Occupant) => occupant.lastSlot - occupant.firstSlot + 1;
const overlaps = (occupant: Occupant, from: number, to: number) =>
  occupant.firstSlot <= to && occupant.lastSlot >= from;

function earliest(taken: readonly Occupant[], slots: number, limit: number): number | undefined {
  let from = 0;
  for (const occupant of [...taken].sort((a, b) => a.firstSlot - b.firstSlot)) {
    if (occupant.firstSlot - from >= slots) break;
    from = Math.max(from, occupant.lastSlot + 1);
  }
  return from + slots <= limit ? from : undefined;
}

/** Within the slots that are there: a folder that grows is longer only once the FAT says so. */
function placeWithMoves(room: FolderRoom, slots: number, from: number): Place | undefined {
  const to = from + slots - 1;
  const inTheWay = room.occupants.filter((occupant) => overlaps(occupant, from, to));
  if (inTheWay.some((occupant) => !occupant.movable)) return undefined;
  const taken: Occupant[] = [
    ...room.occupants.filter((occupant) => !inTheWay.includes(occupant)),
    { firstSlot: from, lastSlot: to, movable: false },
    // An entry that moves keeps its old slots until its copy is on the card.
    ...inTheWay,
    ...room.vacating,
  ];
  const moves: Move[] = [];
  for (const occupant of inTheWay) {
    const toSlot = earliest(taken, length(occupant), room.slotCount);
    if (toSlot === undefined) return undefined;
    taken.push({ firstSlot: toSlot, lastSlot: toSlot + length(occupant) - 1, movable: false });
    moves.push({ occupant, toSlot });
  }
  return { slot: from, moves, slotCount: room.slotCount };
}

/**
 * The earliest place for an entry of so many slots. `withinSlots`, where not 0: its last slot must be among the
 * first so many. undefined where there is no such place.
 */
export function planPlace(room: FolderRoom, slots: number, withinSlots: number): Place | undefined {
  const limit = Math.min(maxFolderSlots, room.slotCount + room.growableSlots);
  const free = earliest(room.occupants, slots, limit);
  if (free === undefined && withinSlots === 0) return undefined;
  if (free !== undefined && (withinSlots === 0 || free + slots <= withinSlots)) {
    return { slot: free, moves: [], slotCount: Math.max(room.slotCount, free + slots) };
  }
  let best: Place | undefined;
  for (let from = 0; from + slots <= Math.min(withinSlots, room.slotCount); from++) {
    const place = placeWithMoves(room, slots, from);
    if (place !== undefined && (best === undefined || movedSlots(place) < movedSlots(best))) best = place;
  }
  return best;
}

function movedSlots(place: Place): number {
  return place.moves.reduce((sum, move) => sum + length(move.occupant), 0);
}
