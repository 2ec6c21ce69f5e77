// Reads a file of a mounted card past the system's memory of it (O_DIRECT), so that what is read was on the medium at that
// moment. Which clusters it lies in is still the system's knowledge, which may be older: only a new mount asks anew.

import { readSync } from 'node:fs';
import { alignedMemory } from '../cards/direct-sectors.ts';

/** A multiple of every sector that cards have. */
const requestBytes = 4096;

/** undefined where the system takes no such request. Throws what else the card says. */
export function directChunks(handle: number): Generator<Uint8Array> | undefined {
  const memory = alignedMemory(handle, requestBytes);
  return memory === undefined ? undefined : chunksInto(handle, memory);
}

function* chunksInto(handle: number, memory: Uint8Array): Generator<Uint8Array> {
  for (let position = 0; ; ) {
    const got = readSync(handle, memory, 0, memory.length, position);
    if (got === 0) return;
    yield memory.subarray(0, got);
    // Only the end of a file gives a part of a sector.
    if (got % 512 !== 0) return;
    position += got;
  }
}
