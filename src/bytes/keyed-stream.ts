// Bytes that say where they belong and to which run: the key stream of AES-128 in counter mode (NIST SP 800-38A), counted by
// the place on the card. Nobody without the key can make them, a block of them gives its place away again, and nothing has
// to be kept to judge them. Not for secrets.

import { createCipheriv, createDecipheriv } from 'node:crypto';

export const keyBytes = 16;
/** One count; every place and length is a whole number of these. */
export const countBytes = 16;

/** Counters beyond any place on a card: numbers drawn from the key lie there. */
const drawnFrom = 1n << 100n;

export interface KeyedStream {
  /** Fills `target` with what belongs at `offsetBytes`. Both whole counts. */
  fill(offsetBytes: number, target: Uint8Array): void;
  /** Where the count that begins `bytes` belongs; undefined: it is none of this stream's. */
  placeOf(bytes: Uint8Array): number | undefined;
  /** Even numbers from 0 up to 1, the same ones for the same key. */
  draws(): () => number;
}

function counterOf(value: bigint): Buffer {
  const bytes = Buffer.alloc(countBytes);
  bytes.writeBigUInt64BE(value >> 64n, 0);
  bytes.writeBigUInt64BE(value & 0xffff_ffff_ffff_ffffn, 8);
  return bytes;
}

/** `key`: 16 bytes. */
export function keyedStream(key: Uint8Array): KeyedStream {
  let zeros = Buffer.alloc(1 << 20);
  const at = (counter: bigint, length: number): Buffer => {
    if (zeros.length < length) zeros = Buffer.alloc(length);
    return createCipheriv('aes-128-ctr', key, counterOf(counter)).update(zeros.subarray(0, length));
  };
  return {
    fill(offsetBytes, target) {
      target.set(at(BigInt(offsetBytes / countBytes), target.length));
    },
    placeOf(bytes) {
      const block = createDecipheriv('aes-128-ecb', key, null)
        .setAutoPadding(false)
        .update(bytes.subarray(0, countBytes));
      if (block.readBigUInt64BE(0) !== 0n) return undefined;
      const counter = block.readBigUInt64BE(8);
      // 2^53 bytes: no card is longer, and no chance makes so many zeros.
      return counter < 1n << 49n ? Number(counter) * countBytes : undefined;
    },
    draws() {
      let drawn = 0n;
      return () => {
        const bytes = at(drawnFrom + drawn++, countBytes);
        return bytes.readUIntBE(0, 6) / 2 ** 48;
      };
    },
  };
}
