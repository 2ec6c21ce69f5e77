// Reads the file allocation table of a volume: the active copy whole, the others in pieces to compare. The two
// flag bits in the entry of cluster 1 are taken from every copy and left out of the comparison, since systems
// do not set them in all copies.

import { decodeNumber } from '../../bytes/fields.ts';
import type { BlockReader } from '../../ports/blocks.ts';
import { firstCluster } from '../cluster-geometry.ts';
import { cleanBits, fatEntries, fatEntry } from '../fat/fat.ts';
import { type FatBits, type FatGeometry, fatOffsetBytes, usedFatBytes } from '../fat/fat-geometry.ts';

/** Small enough to stay in a processor's cache while it is read, compared and looked at. */
export const pieceBytes = 1 << 18;

export interface ReadFat {
  readonly fat: Uint8Array;
  readonly entries: Uint16Array | Uint32Array;
  /** By piece of `pieceBytes`: 1 where all entries in it are free. */
  readonly blankPieces: Uint8Array;
  /** The first cluster whose entries differ between the copies; undefined where they agree. */
  readonly differsAt: number | undefined;
  /** A copy says: not unmounted in good order; the medium failed. */
  readonly dirty: boolean;
  readonly error: boolean;
  /** What the entry of cluster 0 repeats of the boot sector. */
  readonly media: number;
}

/** undefined where the card ends before its FAT does. */
export function readFat(blocks: BlockReader, startBytes: number, geometry: FatGeometry): ReadFat | undefined {
  const { bits, bytesPerSector } = geometry;
  const usedBytes = usedFatBytes(geometry);
  const lengthBytes = Math.ceil(usedBytes / bytesPerSector) * bytesPerSector;
  const offsets = copyOrder(geometry).map((copy) => startBytes + fatOffsetBytes(geometry, copy));
  if (offsets.some((offset) => offset + lengthBytes > blocks.sizeBytes)) return undefined;
  // Untouched memory stays unallocated: of an empty 32 GB card's FAT of 28 MB hardly a page is ever there.
  const fat = new Uint8Array(lengthBytes);
  const blankPieces = new Uint8Array(Math.ceil(lengthBytes / pieceBytes));
  const { clean, noError } = cleanBits[bits];
  let flags = clean | noError;
  let media = 0;
  let differsAt: number | undefined;
  const pieces = offsets.map(() => new Uint8Array(Math.min(pieceBytes, lengthBytes)));
  const zeros = new Uint8Array(Math.min(pieceBytes, lengthBytes));
  for (let at = 0, index = 0; at < lengthBytes; at += pieceBytes, index++) {
    const length = Math.min(pieceBytes, lengthBytes - at);
    const used = Math.min(length, usedBytes - at);
    pieces.forEach((piece, copy) => {
      const part = piece.subarray(0, length);
      blocks.read(offsets[copy]! + at, part);
      if (at === 0) flags &= fatEntry(part, bits, 1);
      if (copy === 0 || differsAt !== undefined) return;
      if (equal(pieces[0]!.subarray(0, used), part.subarray(0, used))) return;
      differsAt = firstDifferentCluster(pieces[0]!, part, geometry, at, clean | noError);
    });
    const first = pieces[0]!.subarray(0, length);
    if (at === 0) media = fatEntry(first, bits, 0) & 0xff;
    if (equal(first, zeros.subarray(0, length))) blankPieces[index] = 1;
    else fat.set(first, at);
  }
  return {
    fat,
    entries: fatEntries(fat, bits, geometry.clusterCount + firstCluster),
    blankPieces,
    differsAt,
    dirty: (flags & clean) !== clean,
    error: (flags & noError) !== noError,
    media,
  };
}

/** The active copy first: the others are compared with it. */
function copyOrder({ fatCount, activeFat }: FatGeometry): number[] {
  const others = Array.from({ length: fatCount }, (_, copy) => copy).filter((copy) => copy !== activeFat);
  return [activeFat, ...others];
}

function equal(a: Uint8Array, b: Uint8Array): boolean {
  return Buffer.compare(a, b) === 0;
}

/** The first cluster in this piece that differs in more than the flag bits of cluster 1. */
function firstDifferentCluster(
  a: Uint8Array,
  b: Uint8Array,
  { bits, clusterCount }: FatGeometry,
  pieceAt: number,
  flagBits: number,
): number | undefined {
  // The FAT of twelve bits is shorter than one piece, so no entry lies across two.
  const from = Math.floor((pieceAt * 8) / bits);
  const to = Math.min(clusterCount + 1, Math.floor(((pieceAt + pieceBytes) * 8) / bits) - 1);
  for (let cluster = from; cluster <= to; cluster++) {
    const mask = cluster === 1 ? ~flagBits : ~0;
    if (((rawEntry(a, bits, cluster - from) ^ rawEntry(b, bits, cluster - from)) & mask) !== 0)
      return cluster;
  }
  return undefined;
}

/** With the upper four bits of FAT32: they mean nothing, but two copies are two copies. */
function rawEntry(fat: Uint8Array, bits: FatBits, cluster: number): number {
  return bits === 32 ? decodeNumber(fat, cluster * 4, 4) : fatEntry(fat, bits, cluster);
}
