// The Cards port over one card in memory, so that a test decides how its medium behaves and sees what is left.

import { createHash } from 'node:crypto';
import type { Blocks, Cards } from '../../src/ports/blocks.ts';
import { memoryBlocks } from './memory-blocks.ts';

export interface MemoryCard {
  readonly path: string;
  /** Replaced where a card is made. */
  bytes: Uint8Array | undefined;
  /** Another number is another card under the same path. */
  device?: string;
}

export function memoryCards(card: MemoryCard, open: (bytes: Uint8Array) => Blocks = memoryBlocks): Cards {
  const bytesOf = (path: string): Uint8Array => {
    if (path !== card.path || card.bytes === undefined) throw new Error(`there is no ${path}`);
    return card.bytes;
  };
  return {
    exists: (path) => path === card.path && card.bytes !== undefined,
    isWriteProtected: () => false,
    openToRead: (path) => memoryBlocks(bytesOf(path)),
    openToWrite: (path) => open(bytesOf(path)),
    create(path, sizeBytes) {
      if (path !== card.path || card.bytes !== undefined) throw new Error(`${path} cannot be made`);
      card.bytes = new Uint8Array(sizeBytes);
      return open(card.bytes);
    },
    identify(path) {
      const bytes = bytesOf(path);
      return {
        path,
        sizeBytes: bytes.length,
        device: card.device ?? '1:1',
        firstSectorsSha256: createHash('sha256').update(bytes.subarray(0, 65_536)).digest('hex'),
      };
    },
  };
}
