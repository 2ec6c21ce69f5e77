// Reading where the numbers come from the card itself: never beyond its end, whatever they say.

import type { BlockReader } from '../../ports/blocks.ts';

/** The bytes from `offsetBytes` on, fewer than asked for (or none) where the card ends before. */
export function readUpTo(
  blocks: BlockReader,
  offsetBytes: number,
  lengthBytes: number,
): Uint8Array<ArrayBuffer> {
  const available = Math.max(0, Math.min(lengthBytes, blocks.sizeBytes - offsetBytes));
  const bytes = new Uint8Array(available);
  if (available > 0) blocks.read(offsetBytes, bytes);
  return bytes;
}
