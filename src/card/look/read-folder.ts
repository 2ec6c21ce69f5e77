// The slots of one folder, decoded: short entries with the long names that belong to them, deleted slots, the
// volume label, the end mark (Microsoft FAT specification, sections 6 and 7). Says what is wrong with them, each
// as a part of a sentence. Pure: bytes in, values out; follows no clusters.

import { foldCardName } from '../fat/card-name.ts';
import {
  attribute,
  attributeMask,
  type DirectoryEntry,
  decodeDirectoryEntry,
  directoryEntryFields,
  slotBytes,
  slotDeleted,
  slotEnd,
} from '../fat/directory-entry.ts';
import {
  decodeLongNameEntry,
  longNameAttribute,
  longNameLast,
  longNameMaxEntries,
  longNameMaxUnits,
} from '../fat/long-name.ts';
import { decodeLabel, decodeShortName, isSoundShortName, shortNameChecksum } from '../fat/short-name.ts';

export interface FolderEntry {
  readonly slot: number;
  /** Where its long name begins; `slot` without one. */
  readonly firstSlot: number;
  readonly entry: DirectoryEntry;
  readonly name: string;
  readonly shortName: string;
  readonly hasLongName: boolean;
  readonly damaged: boolean;
}

export interface FolderSlots {
  /** Files and folders in their order; `.` and `..` and the label are left out. */
  readonly entries: readonly FolderEntry[];
  /** `.` and `..` as the first two slots give them. */
  readonly dots: readonly (DirectoryEntry | undefined)[];
  readonly label: { readonly slot: number; readonly text: string } | null;
  readonly endSlot: number;
  readonly deletedSlots: readonly number[];
  readonly problems: readonly string[];
}

const dot = '.          ';
const dotDot = '..         ';
/** Reserved by the specification, and `/` would lead elsewhere. */
const badInLongName = /[\u0000-\u001f"*/:<>?\\|]/;

interface PendingName {
  readonly firstSlot: number;
  readonly checksum: number;
  /** The order that the next slot must have; 0 once the name is complete. */
  expected: number;
  text: string;
  ended: boolean;
}

export function decodeFolder(bytes: Uint8Array, isRoot: boolean): FolderSlots {
  const slotCount = Math.floor(bytes.length / slotBytes);
  const entries: FolderEntry[] = [];
  const dots: (DirectoryEntry | undefined)[] = [];
  const deletedSlots: number[] = [];
  const problems: string[] = [];
  const names = new Set<string>();
  let label: FolderSlots['label'] = null;
  let pending: PendingName | undefined;
  let slot = 0;
  const orphan = (): void => {
    if (pending !== undefined)
      problems.push(`a long name without its file at entry ${pending.firstSlot + 1}`);
    pending = undefined;
  };

  for (; slot < slotCount; slot++) {
    const at = slot * slotBytes;
    const firstByte = bytes[at];
    if (firstByte === slotEnd) break;
    if (firstByte === slotDeleted) {
      orphan();
      deletedSlots.push(slot);
      continue;
    }
    const allAttributes = bytes[at + directoryEntryFields.attributes.offset] ?? 0;
    const attributes = allAttributes & attributeMask;
    // Readers disagree on what such an entry is.
    const reserved = allAttributes !== attributes;
    if (reserved) problems.push(`attributes that do not exist at entry ${slot + 1}`);
    if (attributes === longNameAttribute) {
      pending = nextLongPart(bytes, slot, pending, orphan);
      if (pending === undefined) problems.push(`a long name out of order at entry ${slot + 1}`);
      continue;
    }
    const entry = decodeDirectoryEntry(bytes, at);
    const rawName = String.fromCharCode(...entry.name);
    if ((attributes & attribute.label) !== 0) {
      orphan();
      if ((attributes & attribute.folder) !== 0)
        problems.push(`a label that is a folder at entry ${slot + 1}`);
      else if (!isRoot) problems.push(`a volume label outside the root at entry ${slot + 1}`);
      else if (label !== null) problems.push('two volume labels');
      else {
        label = { slot, text: decodeLabel(entry.name) };
        const empty = entry.sizeBytes === 0 && entry.firstClusterLow === 0 && entry.firstClusterHigh === 0;
        if (!empty) problems.push('a volume label that is a file');
        if (/[\u0000-\u001f]/.test(label.text)) problems.push('a volume label with control characters');
      }
      continue;
    }
    if (!isRoot && slot < 2 && rawName === (slot === 0 ? dot : dotDot)) {
      orphan();
      dots[slot] = entry;
      continue;
    }
    const isSound = isSoundShortName(entry.name);
    const belongs =
      pending !== undefined && pending.expected === 0 && pending.checksum === shortNameChecksum(entry.name);
    const long: string | undefined = belongs ? pending?.text : undefined;
    const firstSlot: number = belongs && pending ? pending.firstSlot : slot;
    if (!belongs) orphan();
    pending = undefined;
    const shortName = decodeShortName(entry.name);
    const name = long ?? decodeShortName(entry.name, 0, entry.caseBits);
    const longIsBad =
      long !== undefined && (long === '' || long.length > longNameMaxUnits || badInLongName.test(long));
    if (!isSound || longIsBad) problems.push(`a name that cannot be (“${name}”) at entry ${slot + 1}`);
    // Both names of each entry, without case: a file must not be reachable under another's name.
    const own = new Set([foldCardName(shortName), foldCardName(name)]);
    const twice = [...own].some((one) => names.has(one));
    if (twice) problems.push(`the name “${name}” twice`);
    for (const one of own) names.add(one);
    entries.push({
      slot,
      firstSlot,
      entry,
      name,
      shortName,
      hasLongName: long !== undefined,
      damaged: !isSound || longIsBad || twice || reserved,
    });
  }
  orphan();
  const behind = firstUsedSlot(bytes, slot + 1, slotCount);
  if (behind !== undefined) problems.push(`an entry behind the end of the list at entry ${behind + 1}`);
  return { entries, dots, label, endSlot: slot, deletedSlots, problems };
}

/** undefined where the part does not go on with what came before (which is then an orphan). */
function nextLongPart(
  bytes: Uint8Array,
  slot: number,
  before: PendingName | undefined,
  orphan: () => void,
): PendingName | undefined {
  const part = decodeLongNameEntry(bytes, slot * slotBytes);
  const order = part.order & ~longNameLast;
  const isFirst = (part.order & longNameLast) !== 0;
  const sound = part.type === 0 && part.firstCluster === 0 && order >= 1 && order <= longNameMaxEntries;
  let pending: PendingName | undefined;
  if (isFirst) {
    orphan();
    pending = { firstSlot: slot, checksum: part.checksum, expected: order, text: '', ended: false };
  } else pending = before;
  if (!sound || pending === undefined || pending.expected !== order || pending.checksum !== part.checksum) {
    return undefined;
  }
  const end = part.units.indexOf(0);
  // Only the part that stands first, the tail of the name, may end within itself.
  if (end >= 0 && !isFirst) return undefined;
  pending.text = String.fromCharCode(...(end < 0 ? part.units : part.units.slice(0, end))) + pending.text;
  pending.expected = order - 1;
  return pending;
}

function firstUsedSlot(bytes: Uint8Array, from: number, to: number): number | undefined {
  for (let slot = from; slot < to; slot++) {
    const first = bytes[slot * slotBytes];
    if (first !== slotEnd && first !== slotDeleted) return slot;
  }
  return undefined;
}
