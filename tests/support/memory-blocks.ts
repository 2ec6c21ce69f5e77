// A card in memory. Reading or writing beyond its end throws a RangeError: that is the judge of every reader.

import type { Blocks } from '../../src/ports/blocks.ts';

export interface MemoryBlocks extends Blocks {
  readonly bytes: Uint8Array;
  /** What was asked for so far. */
  readonly reads: { count: number; bytes: number };
}

export function memoryBlocks(bytes: Uint8Array, sectorBytes = 512): MemoryBlocks {
  const reads = { count: 0, bytes: 0 };
  const requireInside = (offset: number, length: number): void => {
    if (!Number.isInteger(offset) || offset < 0 || offset + length > bytes.length) {
      throw new RangeError(`bytes ${offset}+${length} lie outside the card of ${bytes.length} bytes`);
    }
  };
  return {
    sizeBytes: bytes.length,
    sectorBytes,
    device: '1:1',
    bytes,
    reads,
    read(offset, target) {
      requireInside(offset, target.length);
      reads.count++;
      reads.bytes += target.length;
      target.set(bytes.subarray(offset, offset + target.length));
    },
    write(offset, source) {
      requireInside(offset, source.length);
      bytes.set(source, offset);
    },
    flush() {},
    close() {},
  };
}
