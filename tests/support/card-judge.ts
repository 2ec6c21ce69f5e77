// What a card image file holds, read on this side without the tool: by mtools; exFAT by fsck.exfat and a reader of its own.

import { execFileSync, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';

/** No two sectors alike, so that one in the place of another is told. */
export function firmware(length: number): Uint8Array {
  const bytes = new Uint8Array(length);
  for (let at = 0; at < length; at += 32)
    bytes.set(
      createHash('sha256')
        .update(String(at))
        .digest()
        .subarray(0, Math.min(32, length - at)),
      at,
    );
  return bytes;
}

/**
 * A file in the root of a bare exFAT volume, by the specification's offsets and nothing of the tool's: root chain, entry
 * set (85, C0, C1), clusters in one run or along the FAT. fsck.exfat must find nothing wrong first.
 */
function byHand(path: string, name: string): Uint8Array | undefined {
  if (spawnSync('fsck.exfat', ['-n', path], { stdio: 'ignore' }).status !== 0) return undefined;
  const card = readFileSync(path);
  if (card.toString('latin1', 3, 11) !== 'EXFAT   ') return undefined;
  const sector = 2 ** (card[108] ?? 0);
  const cluster = sector * 2 ** (card[109] ?? 0);
  const [fat, heap] = [card.readUInt32LE(80) * sector, card.readUInt32LE(88) * sector];
  const bytesOf = (first: number, count: number, isRun: boolean): Buffer => {
    const pieces: Buffer[] = [];
    for (let at = first; pieces.length < count && at >= 2 && at < 0xfffffff7; ) {
      pieces.push(card.subarray(heap + (at - 2) * cluster, heap + (at - 1) * cluster));
      at = isRun ? at + 1 : card.readUInt32LE(fat + at * 4);
    }
    return Buffer.concat(pieces);
  };
  const root = bytesOf(card.readUInt32LE(96), 4096, false);
  for (let at = 0; at + 96 <= root.length && root[at] !== 0; at += 32) {
    if (root[at] !== 0x85 || root[at + 32] !== 0xc0) continue;
    const names = root.subarray(at + 64, at + 32 * (1 + (root[at + 1] ?? 0)));
    let found = '';
    for (let piece = 0; piece < names.length; piece += 32)
      found += names.toString('utf16le', piece + 2, piece + 32);
    if (found.slice(0, root[at + 35]) !== name) continue;
    const length = Number(root.readBigUInt64LE(at + 56));
    const isRun = ((root[at + 33] ?? 0) & 2) !== 0;
    return bytesOf(root.readUInt32LE(at + 52), Math.ceil(length / cluster), isRun).subarray(0, length);
  }
  return undefined;
}

/** A file in the root of a card without a table; undefined where the judge finds none. */
export function fileOnCard(path: string, name: string, fileSystem: 'fat' | 'exfat'): Uint8Array | undefined {
  if (fileSystem === 'exfat') return byHand(path, name);
  try {
    return execFileSync('mcopy', ['-n', '-i', path, `::/${name}`, '-'], {
      maxBuffer: 2 ** 26,
      stdio: ['ignore', 'pipe', 'ignore'],
    });
  } catch {
    return undefined;
  }
}
