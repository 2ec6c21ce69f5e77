// Reads the contents of a file on the card along its clusters, and digests them in one pass. Reads whole sectors,
// as raw devices ask for; never beyond the card's end.

import { type DigestKind, type Digests, startDigests } from '../../bytes/digests.ts';
import type { BlockReader } from '../../ports/blocks.ts';
import { clusterOffsetBytes } from '../cluster-geometry.ts';
import type { CardVolume, FileNode } from './examined-card.ts';

const pieceBytes = 1 << 20;

/** Gets the bytes read so far of this file. */
export type ReadProgress = (doneBytes: number, totalBytes: number) => void;

/** Every byte of a file of the card, digested; undefined where it cannot be read to its end. */
export type DigestFile = (file: FileNode, kinds: Iterable<DigestKind>) => Promise<Digests | undefined>;

/** In order, in pieces of at most 1 MiB whose memory is used again; ends early where the card does. */
export function* fileChunks(blocks: BlockReader, volume: CardVolume, file: FileNode): Generator<Uint8Array> {
  const { geometry, startBytes } = volume;
  const { sectorBytes } = blocks;
  let left = file.sizeBytes;
  const buffer = new Uint8Array(Math.min(pieceBytes, Math.ceil(left / sectorBytes) * sectorBytes));
  for (const run of file.runs) {
    let offset = startBytes + clusterOffsetBytes(geometry, run.firstCluster);
    const end = offset + run.clusterCount * geometry.clusterBytes;
    while (offset < end && left > 0) {
      const length = Math.min(pieceBytes, end - offset, Math.ceil(left / sectorBytes) * sectorBytes);
      if (offset + length > blocks.sizeBytes) return;
      const piece = buffer.subarray(0, length);
      blocks.read(offset, piece);
      const used = Math.min(length, left);
      if (file.validBytes !== undefined) {
        const written = file.validBytes - (file.sizeBytes - left);
        if (written < used) piece.fill(0, Math.max(0, written), used);
      }
      yield piece.subarray(0, used);
      offset += length;
      left -= used;
    }
  }
}

/** undefined where the card ends, or its chain does, before the file does. */
export async function digestFile(
  blocks: BlockReader,
  volume: CardVolume,
  file: FileNode,
  kinds: Iterable<DigestKind>,
  progress?: ReadProgress,
): Promise<Digests | undefined> {
  const run = await startDigests(kinds, { expectedBytes: file.sizeBytes });
  let done = 0;
  for (const chunk of fileChunks(blocks, volume, file)) {
    run.update(chunk);
    done += chunk.length;
    progress?.(done, file.sizeBytes);
  }
  return done === file.sizeBytes ? run.finish() : undefined;
}

/** Every digest that is stated agrees, and at least one is. */
export function digestsAgree(stated: Digests, read: Digests): boolean {
  const kinds = Object.keys(stated) as DigestKind[];
  return kinds.length > 0 && kinds.every((kind) => stated[kind] === read[kind]);
}
