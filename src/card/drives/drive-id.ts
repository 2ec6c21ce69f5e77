// The short ID by which a person confirms a card: the same each time the same card is seen, another for another card.
// Made from what identifies it, not from the name that the system gave the slot. Laying a card out anew changes it,
// unless the system can tell the card itself (a built-in slot): the ID then says what is in the reader, not which.

import { sha256Hex } from '../../bytes/sha256.ts';
import type { Drive, DriveTable } from '../../ports/drives.ts';

/** Without letters and figures that are taken for each other, or that make words. */
const letters = '23456789BCDFGHJKLMNPQRSTVWXZ';

function encode(facts: readonly (string | number | null)[]): string {
  let value = BigInt(`0x${sha256Hex(JSON.stringify(facts)).slice(0, 16)}`);
  let id = '';
  for (let i = 0; i < 8; i++) {
    id += letters[Number(value % BigInt(letters.length))];
    value /= BigInt(letters.length);
  }
  return `${id.slice(0, 4)}-${id.slice(4)}`;
}

/** The serial of a card in a built-in slot is the card's own; of any other it is the reader's. */
const tellsItself = ({ bus, serial }: Drive): boolean => bus === 'mmc' && serial !== null;

function factsOf(drive: Drive): (string | number | null)[] {
  const { bus, serial, model, sizeBytes, tableId, parts } = drive;
  if (tellsItself(drive)) return [bus, serial, model, sizeBytes];
  return [bus, serial, model, sizeBytes, tableId, ...parts.map((part) => part.volumeId)];
}

/** By device. Two that nothing tells apart but where they are plugged in get IDs that hold only for that place. */
export function driveIds({ drives }: DriveTable): ReadonlyMap<string, string> {
  const byId = new Map<string, Drive[]>();
  for (const drive of drives) {
    const id = encode(factsOf(drive));
    byId.set(id, [...(byId.get(id) ?? []), drive]);
  }
  const ids = new Map<string, string>();
  for (const [id, alike] of byId) {
    for (const drive of alike)
      ids.set(drive.device, alike.length === 1 ? id : encode([...factsOf(drive), drive.device]));
  }
  return ids;
}

/** The ID where it is the card's own, whatever is on it; undefined where it says what is on it, or in the reader. */
export function ownIdOf(drive: Drive): string | undefined {
  return tellsItself(drive) ? encode(factsOf(drive)) : undefined;
}

/** Typed by hand: case, blanks and the dash do not count. */
export function isSameId(typed: string, id: string): boolean {
  const plain = (text: string) => text.toUpperCase().replaceAll(/[\s-]/g, '');
  return plain(typed) === plain(id);
}
