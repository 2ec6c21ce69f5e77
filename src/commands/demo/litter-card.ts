// Makes a clean card of the demo look as cards do after a month in a van: pictures, what computers left there,
// an older file under the firmware file's name. Only for a card that the demo itself has just laid out.

import { clusterOffsetBytes } from '../../card/cluster-geometry.ts';
import {
  attribute,
  encodeDirectoryEntry,
  makeDirectoryEntry,
  slotBytes,
} from '../../card/fat/directory-entry.ts';
import { encodeShortName } from '../../card/fat/short-name.ts';
import { examineCard } from '../../card/look/examine-card.ts';
import { type FatVolume, slotOffsetBytes } from '../../card/look/examined-card.ts';
import { FatDraft } from '../../card/tidy/fat-draft.ts';
import type { Blocks } from '../../ports/blocks.ts';

export interface LitterFile {
  /** A plain upper-case 8.3 name. */
  readonly name: string;
  readonly content: Uint8Array;
}

export interface LitterFolder {
  readonly name: string;
  readonly files: readonly LitterFile[];
}

interface Slot {
  readonly name: string;
  readonly attributes: number;
  readonly firstCluster: number;
  readonly sizeBytes: number;
}

function encodeSlots(slots: readonly Slot[], atMs: number): Uint8Array {
  const bytes = new Uint8Array(slots.length * slotBytes);
  slots.forEach(({ name, ...facts }, index) => {
    // `.` and `..` are no names that a file may have, so they are spelt out.
    const raw = /^\.+$/.test(name) ? new TextEncoder().encode(name.padEnd(11)) : encodeShortName(name);
    if (raw === undefined) throw new RangeError(`${name} is no 8.3 name`);
    encodeDirectoryEntry(makeDirectoryEntry({ name: raw, ...facts, atMs }), bytes, index * slotBytes);
  });
  return bytes;
}

/** Adds the folders, each with its files, to the root of the FAT volume on `blocks`. */
export function litterCard(blocks: Blocks, folders: readonly LitterFolder[], atMs: number): void {
  const { volume } = examineCard(blocks);
  if (volume?.kind !== 'fat') throw new Error('the demo card has no FAT volume');
  const draft = new FatDraft(volume);
  const place = (bytes: Uint8Array): number => storeInClusters(blocks, volume, draft, bytes);
  const inRoot = folders.map(({ name, files }): Slot => {
    const inFolder = files.map(
      (file): Slot => ({
        name: file.name,
        attributes: attribute.archive,
        firstCluster: place(file.content),
        sizeBytes: file.content.length,
      }),
    );
    const first = place(new Uint8Array(volume.geometry.clusterBytes));
    const own = { attributes: attribute.folder, sizeBytes: 0 };
    const slots = [
      { name: '.', ...own, firstCluster: first },
      { name: '..', ...own, firstCluster: 0 },
      ...inFolder,
    ];
    blocks.write(volume.startBytes + clusterOffsetBytes(volume.geometry, first), encodeSlots(slots, atMs));
    return { name, ...own, firstCluster: first };
  });
  blocks.write(slotOffsetBytes(volume, volume.root, volume.root.children.length), encodeSlots(inRoot, atMs));
  for (const write of draft.takeWrites()) blocks.write(write.offsetBytes, write.bytes);
  blocks.flush();
}

function storeInClusters(blocks: Blocks, volume: FatVolume, draft: FatDraft, bytes: Uint8Array): number {
  const { clusterBytes } = volume.geometry;
  const run = draft.findRun(Math.ceil(bytes.length / clusterBytes));
  if (run === undefined) throw new Error('the demo card is full');
  draft.chain([run]);
  const whole = new Uint8Array(run.clusterCount * clusterBytes);
  whole.set(bytes);
  blocks.write(volume.startBytes + clusterOffsetBytes(volume.geometry, run.firstCluster), whole);
  return run.firstCluster;
}
