// The stages of a tidy plan as they come together: changes to folders and single sectors, laid over the card as it
// is, and cut into stages. Decides nothing; `tidy-plan.ts` says what changes and in which order.

import type { BlockReader } from '../../ports/blocks.ts';
import { type CardWrite, type StageName, sectorStage, type WriteStage } from '../card-write.ts';
import { clusterOffsetBytes } from '../cluster-geometry.ts';
import { slotBytes, slotDeleted } from '../fat/directory-entry.ts';
import {
  type CardNode,
  type FatVolume,
  type FolderNode,
  type Run,
  slotOffsetBytes,
} from '../look/examined-card.ts';
import { SectorOverlay } from './sector-overlay.ts';

export class TidyDraft {
  readonly stages: WriteStage[] = [];
  readonly #overlay: SectorOverlay;
  readonly #volume: FatVolume;

  constructor(volume: FatVolume, reader: BlockReader) {
    this.#volume = volume;
    this.#overlay = new SectorOverlay(reader);
  }

  /** Ends a stage; one that changes nothing is left out. */
  end(name: StageName, more: readonly CardWrite[] = []): void {
    const writes = [...this.#overlay.takeWrites(), ...more];
    if (writes.length > 0) this.stages.push(sectorStage(name, writes));
  }

  change(offsetBytes: number, bytes: Uint8Array): void {
    this.#overlay.change(offsetBytes, bytes);
  }

  read(offsetBytes: number, lengthBytes: number): Uint8Array {
    return this.#overlay.read(offsetBytes, lengthBytes);
  }

  clusterBytes(cluster: number): number {
    return this.#volume.startBytes + clusterOffsetBytes(this.#volume.geometry, cluster);
  }

  /** Slot by slot, since a folder's clusters may lie apart; slots beyond its end are in its grown clusters. */
  #slotBytes(folder: FolderNode, grown: readonly Run[], slot: number): number {
    if (slot < folder.slotCount) return slotOffsetBytes(this.#volume, folder, slot);
    const { clusterBytes } = this.#volume.geometry;
    let rest = (slot - folder.slotCount) * slotBytes;
    for (const run of grown) {
      const runBytes = run.clusterCount * clusterBytes;
      if (rest < runBytes) return this.clusterBytes(run.firstCluster) + rest;
      rest -= runBytes;
    }
    throw new RangeError(`slot ${slot} is beyond the folder and what it grows by`);
  }

  putSlots(folder: FolderNode, grown: readonly Run[], slot: number, bytes: Uint8Array): void {
    for (let i = 0; i * slotBytes < bytes.length; i++) {
      this.change(
        this.#slotBytes(folder, grown, slot + i),
        bytes.subarray(i * slotBytes, (i + 1) * slotBytes),
      );
    }
  }

  copySlots(folder: FolderNode, grown: readonly Run[], from: number, to: number, count: number): void {
    for (let i = 0; i < count; i++) {
      const slot = this.read(this.#slotBytes(folder, grown, from + i), slotBytes);
      this.change(this.#slotBytes(folder, grown, to + i), slot);
    }
  }

  deleteSlots(folder: FolderNode, firstSlot: number, lastSlot: number, except: readonly number[] = []): void {
    for (let slot = firstSlot; slot <= lastSlot; slot++) {
      if (!except.includes(slot)) this.change(this.#slotBytes(folder, [], slot), Uint8Array.of(slotDeleted));
    }
  }

  deleteNode(node: CardNode): void {
    if (node.parent !== null) this.deleteSlots(node.parent, node.firstSlot, node.slot);
  }
}
