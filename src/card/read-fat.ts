// Reads the file allocation table of a volume: the active copy whole, the others in pieces to compare. The two
// flag bits in the entry of cluster 1 are taken from every copy and left out of the comparison, since systems
// do not set them in all copies.

import type { BlockReader } from '../ports/blocks.ts';
import { readUpTo } from './clamped-read.ts';
import { cleanBits, fatEntries, fatEntry } from './fat.ts';
import { type FatGeometry, fatOffsetBytes, firstCluster, usedFatBytes } from './fat-geometry.ts';

const pieceBytes = 1 << 20;

export interface ReadFat {
  readonly fat: Uint8Array;
  readonly entries: Uint16Array | Uint32Array;
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
  const { bits, fatCount, activeFat, bytesPerSector } = geometry;
  const usedBytes = usedFatBytes(geometry);
  const lengthBytes = Math.ceil(usedBytes / bytesPerSector) * bytesPerSector;
  const fat = readUpTo(blocks, startBytes + fatOffsetBytes(geometry, activeFat), lengthBytes);
  if (fat.length < lengthBytes) return undefined;
  const { clean, noError } = cleanBits[bits];
  const flagBits = clean | noError;
  let flags = fatEntry(fat, bits, 1);
  let differsAt: number | undefined;
  for (let copy = 0; copy < fatCount; copy++) {
    if (copy === activeFat) continue;
    const base = startBytes + fatOffsetBytes(geometry, copy);
    for (let at = 0; at < usedBytes; at += pieceBytes) {
      const piece = readUpTo(blocks, base + at, Math.min(pieceBytes, lengthBytes - at));
      if (at === 0) flags &= fatEntry(piece, bits, 1);
      if (differsAt !== undefined) break;
      const length = Math.min(pieceBytes, usedBytes - at);
      const index = firstDifference(fat.subarray(at, at + length), piece.subarray(0, length));
      if (index === undefined) continue;
      differsAt = firstDifferentCluster(fat, piece, geometry, at, at + index, flagBits);
    }
  }
  return {
    fat,
    entries: fatEntries(fat, bits, geometry.clusterCount + firstCluster),
    differsAt,
    dirty: (flags & clean) !== clean,
    error: (flags & noError) !== noError,
    media: fatEntry(fat, bits, 0) & 0xff,
  };
}

/** Whole pieces are compared natively; byte by byte only where they differ. */
function firstDifference(a: Uint8Array, b: Uint8Array): number | undefined {
  if (a.length === b.length && Buffer.compare(a, b) === 0) return undefined;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return i;
  return undefined;
}

/** The cluster of the first difference in this piece that is more than the flag bits of cluster 1. */
function firstDifferentCluster(
  fat: Uint8Array,
  piece: Uint8Array,
  geometry: FatGeometry,
  pieceAt: number,
  differenceAt: number,
  flagBits: number,
): number | undefined {
  const { bits, clusterCount } = geometry;
  const first = Math.floor((differenceAt * 8) / bits);
  // A twelve-bit entry may begin in the piece before; it was equal there.
  const last = Math.min(clusterCount + 1, Math.floor(((pieceAt + piece.length) * 8) / bits));
  for (let cluster = Math.max(0, first - 1); cluster <= last; cluster++) {
    const mask = cluster === 1 ? ~flagBits : ~0;
    const other = entryInPiece(piece, geometry, pieceAt, cluster);
    if (other !== undefined && ((fatEntry(fat, bits, cluster) ^ other) & mask) !== 0) return cluster;
  }
  return undefined;
}

function entryInPiece(
  piece: Uint8Array,
  geometry: FatGeometry,
  pieceAt: number,
  cluster: number,
): number | undefined {
  if (geometry.bits === 12) return pieceAt === 0 ? fatEntry(piece, 12, cluster) : undefined;
  const width = geometry.bits / 8;
  const within = cluster - pieceAt / width;
  return within < 0 || (within + 1) * width > piece.length
    ? undefined
    : fatEntry(piece, geometry.bits, within);
}
