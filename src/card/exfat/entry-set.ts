// The entries of one exFAT folder, decoded: sets of a file entry, its stream and its name, each with checksum and hash;
// and in the root the volume's own entries. Says what is wrong with them, each as a part of a sentence. Pure: bytes in,
// values out; follows no clusters. Specification, sections 6 and 7.

import { decodeFields } from '../../bytes/fields.ts';
import {
  allocationFlags,
  bitmapFields,
  decodeUnits,
  entryBytes,
  entryType,
  fileFields,
  labelFields,
  labelUnits,
  nameUnits,
  streamFields,
  typeBits,
  upCaseFields,
} from './exfat-entry.ts';
import { nameHash, type UpCaseTable, upCase } from './up-case-table.ts';

export interface Allocation {
  /** 0 where it has none. */
  readonly firstCluster: number;
  readonly dataLength: number;
  /** Its clusters follow each other, and the FAT says nothing of them. */
  readonly noFatChain: boolean;
}

export interface ExfatFile extends Allocation {
  /** The slot of its file entry in its folder, from 0. */
  readonly slot: number;
  readonly slotCount: number;
  readonly name: string;
  readonly attributes: number;
  readonly validDataLength: number;
  readonly damaged: boolean;
}

export interface ExfatSlots {
  readonly files: readonly ExfatFile[];
  readonly bitmaps: readonly (Allocation & { readonly second: boolean })[];
  readonly upCases: readonly (Allocation & { readonly checksum: number })[];
  readonly label: { readonly slot: number; readonly text: string } | null;
  /** The first entry that was never used; as many as there are where all were. */
  readonly endSlot: number;
  readonly deletedSlots: readonly number[];
  readonly problems: readonly string[];
}

/** Section 6.3.1: a file entry has between two and eighteen others behind it. */
const fewestSecondaries = 2;
const mostSecondaries = 18;
/** Section 7.7.3. */
const badInName = /[\u0000-\u001f"*/:<>?\\|]/;

/** Section 6.3.3: over the whole set, without the checksum itself. */
export function setChecksum(bytes: Uint8Array, at: number, count: number): number {
  let sum = 0;
  for (let i = 0; i < count * entryBytes; i++) {
    if (i === fileFields.setChecksum.offset || i === fileFields.setChecksum.offset + 1) continue;
    sum = ((((sum & 1) << 15) | (sum >>> 1)) + (bytes[at + i] ?? 0)) & 0xffff;
  }
  return sum;
}

class FolderDecoding {
  readonly #bytes: Uint8Array;
  readonly #isRoot: boolean;
  readonly #table: UpCaseTable;
  readonly #slotCount: number;
  readonly #names = new Set<string>();
  readonly files: ExfatFile[] = [];
  readonly bitmaps: (Allocation & { second: boolean })[] = [];
  readonly upCases: (Allocation & { checksum: number })[] = [];
  readonly deletedSlots: number[] = [];
  readonly problems: string[] = [];
  label: ExfatSlots['label'] = null;

  constructor(bytes: Uint8Array, isRoot: boolean, table: UpCaseTable) {
    this.#bytes = bytes;
    this.#isRoot = isRoot;
    this.#table = table;
    this.#slotCount = Math.floor(bytes.length / entryBytes);
  }

  run(): ExfatSlots {
    let slot = 0;
    while (slot < this.#slotCount) {
      const type = this.#typeAt(slot);
      if (type === entryType.end) break;
      if ((type & typeBits.inUse) === 0) {
        this.deletedSlots.push(slot);
        slot++;
      } else slot += this.#entry(slot, type);
    }
    const behind = this.#firstUsed(slot);
    if (behind !== undefined) this.#no('an entry behind the end of the list', behind);
    const { files, bitmaps, upCases, label, deletedSlots, problems } = this;
    return { files, bitmaps, upCases, label, endSlot: slot, deletedSlots, problems };
  }

  #typeAt(slot: number): number {
    return this.#bytes[slot * entryBytes] ?? 0;
  }

  #no(what: string, slot: number): void {
    this.problems.push(`${what} at entry ${slot + 1}`);
  }

  #firstUsed(from: number): number | undefined {
    for (let slot = from; slot < this.#slotCount; slot++)
      if ((this.#typeAt(slot) & typeBits.inUse) !== 0) return slot;
    return undefined;
  }

  /** Returns how many slots it takes. */
  #entry(slot: number, type: number): number {
    const at = slot * entryBytes;
    if (type === entryType.file) return this.#file(slot);
    if ((type & typeBits.secondary) !== 0) {
      this.#no('a part of a file without the file', slot);
      return 1;
    }
    if (type === entryType.bitmap && this.#isRoot) {
      const { flags, firstCluster, dataLength } = decodeFields(bitmapFields, this.#bytes, at);
      this.bitmaps.push({ firstCluster, dataLength, noFatChain: false, second: (flags & 1) !== 0 });
    } else if (type === entryType.upCase && this.#isRoot) {
      const { checksum, firstCluster, dataLength } = decodeFields(upCaseFields, this.#bytes, at);
      this.upCases.push({ checksum, firstCluster, dataLength, noFatChain: false });
    } else if (type === entryType.label && this.#isRoot) this.#label(slot);
    else if ((type & typeBits.benign) === 0) this.#no('an entry of a kind that is not known here', slot);
    // Benign ones that are not known are passed over (section 6.2.1.2), with what belongs to them.
    else return this.#passedOver(slot);
    return 1;
  }

  #label(slot: number): void {
    const at = slot * entryBytes;
    const { characterCount } = decodeFields(labelFields, this.#bytes, at);
    if (this.label !== null) this.#no('a second volume label', slot);
    else if (characterCount > labelUnits.count) this.#no('a volume label that is too long', slot);
    else this.label = { slot, text: decodeUnits(this.#bytes, at + labelUnits.offset, characterCount) };
  }

  #passedOver(slot: number): number {
    const count = this.#bytes[slot * entryBytes + 1] ?? 0;
    let taken = 1;
    while (taken <= count && (this.#typeAt(slot + taken) & 0xc0) === 0xc0) taken++;
    return taken;
  }

  #file(slot: number): number {
    const at = slot * entryBytes;
    const bytes = this.#bytes;
    const { secondaryCount, setChecksum: stated, attributes } = decodeFields(fileFields, bytes, at);
    const wrong: string[] = [];
    const available = Math.min(secondaryCount, this.#slotCount - slot - 1);
    if (secondaryCount < fewestSecondaries || secondaryCount > mostSecondaries)
      wrong.push(`a file of ${secondaryCount + 1} entries`);
    let parts = 0;
    // Secondary entries in use: what follows may be the next file.
    while (parts < Math.min(available, mostSecondaries) && (this.#typeAt(slot + 1 + parts) & 0xc0) === 0xc0)
      parts++;
    if (parts < Math.min(secondaryCount, mostSecondaries)) wrong.push('a file without all of its entries');
    else if (setChecksum(bytes, at, secondaryCount + 1) !== stated)
      wrong.push('a file with a wrong checksum');

    const streamAt = at + entryBytes;
    const hasStream = parts > 0 && this.#typeAt(slot + 1) === entryType.stream;
    if (!hasStream) {
      this.#no(wrong[0] ?? 'a file without its stream entry', slot);
      return 1 + parts;
    }
    const stream = decodeFields(streamFields, bytes, streamAt);
    let units = '';
    let nameParts = 0;
    while (1 + nameParts < parts && this.#typeAt(slot + 2 + nameParts) === entryType.name) {
      units += decodeUnits(bytes, at + (2 + nameParts) * entryBytes + nameUnits.offset, nameUnits.count);
      nameParts++;
    }
    const name = units.slice(0, stream.nameLength);
    const isWhole = nameParts === Math.ceil(stream.nameLength / nameUnits.count);
    if (stream.nameLength === 0 || !isWhole || /[^\0]/.test(units.slice(stream.nameLength)))
      wrong.push('a file whose name has another length than it says');
    const rest = 2 + nameParts;
    for (let part = rest; part <= parts; part++)
      if ((this.#typeAt(slot + part) & typeBits.benign) === 0)
        wrong.push('a part of a file of a kind that is not known here');
    const upper = upCase(name, this.#table);
    if (badInName.test(name) || name === '.' || name === '..')
      wrong.push(`a name that cannot be (“${name}”)`);
    if (wrong.length === 0 && nameHash(upper) !== stream.nameHash)
      wrong.push(`a wrong hash of the name “${name}”`);
    if (this.#names.has(upper)) wrong.push(`the name “${name}” twice`);
    this.#names.add(upper);
    wrong.push(...allocationProblems(stream));
    for (const one of wrong) this.#no(one, slot);
    this.files.push({
      slot,
      slotCount: 1 + parts,
      name,
      attributes,
      firstCluster: stream.firstCluster,
      dataLength: stream.dataLength,
      validDataLength: Math.min(stream.validDataLength, stream.dataLength),
      noFatChain: (stream.flags & allocationFlags.noFatChain) !== 0,
      damaged: wrong.length > 0,
    });
    return 1 + parts;
  }
}

/** Sections 6.3.4, 6.4.2 and 7.6.5: what a stream may not say of its clusters. */
function allocationProblems({
  flags,
  firstCluster,
  dataLength,
  validDataLength,
}: Readonly<Record<keyof typeof streamFields, number>>): string[] {
  const problems: string[] = [];
  const possible = (flags & allocationFlags.possible) !== 0;
  if (!possible) problems.push('a file that may not have clusters');
  if (firstCluster === 0 && dataLength !== 0) problems.push('a file with a length and no clusters');
  if (validDataLength > dataLength) problems.push('a file with more bytes written than it has');
  return problems;
}

/** `table`: the volume's own; to read the root for the first time, `plainUpCase()` will do. */
export function decodeExfatFolder(bytes: Uint8Array, isRoot: boolean, table: UpCaseTable): ExfatSlots {
  return new FolderDecoding(bytes, isRoot, table).run();
}
