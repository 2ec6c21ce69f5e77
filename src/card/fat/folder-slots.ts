// Entries as the 32-byte slots that go into a folder: long-name slots, the short entry, and the two that every
// folder but the root begins with. Encodes only; where the slots go is planned elsewhere.

import type { CardName } from './card-name.ts';
import { attribute, encodeDirectoryEntry, makeDirectoryEntry, slotBytes } from './directory-entry.ts';
import { encodeLongNameEntry, longNameEntries } from './long-name.ts';
import { shortNameBytes, shortNameChecksum } from './short-name.ts';

export interface EntryFacts {
  readonly attributes: number;
  readonly firstCluster: number;
  readonly sizeBytes: number;
  /** Created, modified and last accessed, milliseconds UTC. */
  readonly atMs: number;
}

/** The slots of one entry, in the order in which they stand on the card. */
export function encodeEntrySlots(name: CardName, facts: EntryFacts): Uint8Array {
  const long = name.long === undefined ? [] : longNameEntries(name.long, shortNameChecksum(name.short));
  if (long === undefined) throw new RangeError('a name of more than 255 characters has no entry');
  const slots = new Uint8Array((long.length + 1) * slotBytes);
  long.forEach((entry, index) => {
    encodeLongNameEntry(entry, slots, index * slotBytes);
  });
  encodeDirectoryEntry(makeDirectoryEntry({ name: name.short, ...facts }), slots, long.length * slotBytes);
  return slots;
}

function dots(count: number): Uint8Array {
  return new Uint8Array(shortNameBytes).fill(0x20).fill(0x2e, 0, count);
}

/** `.` and `..`; the parent's cluster is 0 where that is the root (section 6.5). */
export function encodeDotSlots(ownCluster: number, parentCluster: number, atMs: number): Uint8Array {
  const slots = new Uint8Array(2 * slotBytes);
  const folder = { attributes: attribute.folder, sizeBytes: 0, atMs };
  slots.set(encodeEntrySlots({ short: dots(1) }, { ...folder, firstCluster: ownCluster }), 0);
  slots.set(encodeEntrySlots({ short: dots(2) }, { ...folder, firstCluster: parentCluster }), slotBytes);
  return slots;
}
