// Reads and writes an open block device past the system's memory of it, so that what is read was on the medium at that
// moment. The system takes such requests only in whole sectors, from memory that lies right; Node does not say where
// memory lies, so the place is found by trying.

import { readSync, writeSync } from 'node:fs';

const windowBytes = 2 ** 20;
/** Memory that lies on a multiple of this suits every device. */
const widestAlignment = 4096;
const smallestStep = 16;

const codeOf = (error: unknown) => (error as NodeJS.ErrnoException | null)?.code;

/** undefined where the system takes no such request at any place. Throws what else the device says. */
export function alignedMemory(
  handle: number,
  requestBytes: number,
  lengthBytes = windowBytes,
): Uint8Array | undefined {
  const memory = new ArrayBuffer(lengthBytes + widestAlignment);
  for (let at = 0; at < widestAlignment; at += smallestStep) {
    const view = new Uint8Array(memory, at, lengthBytes);
    try {
      readSync(handle, view, 0, requestBytes, 0);
      return view;
    } catch (error) {
      if (codeOf(error) !== 'EINVAL') throw error;
    }
  }
  return undefined;
}

export class DirectSectors {
  readonly #handle: number;
  readonly #sectorBytes: number;
  readonly #memory: Uint8Array;

  /** `memory` as `alignedMemory` gave it for this handle and sector. */
  constructor(handle: number, sectorBytes: number, memory: Uint8Array) {
    this.#handle = handle;
    this.#sectorBytes = sectorBytes;
    this.#memory = memory;
  }

  /** Fills whole sectors of the window from the device; a device that ends early is an I/O error. */
  #fill(offsetBytes: number, lengthBytes: number): void {
    for (let done = 0; done < lengthBytes; ) {
      const got = readSync(this.#handle, this.#memory, done, lengthBytes - done, offsetBytes + done);
      if (got === 0) throw Object.assign(new Error('the card ends early'), { code: 'EIO' });
      done += got;
    }
  }

  /** In pieces of the window: where each lies in the sectors that it takes. */
  *#pieces(offsetBytes: number, lengthBytes: number) {
    const sector = this.#sectorBytes;
    for (let done = 0; done < lengthBytes; ) {
      const at = offsetBytes + done;
      const start = at - (at % sector);
      const length = Math.min(lengthBytes - done, this.#memory.length - (at - start));
      const within = at - start;
      const whole = Math.ceil((within + length) / sector) * sector;
      yield { done, start, within, length, whole };
      done += length;
    }
  }

  read(offsetBytes: number, target: Uint8Array): void {
    for (const { done, start, within, length, whole } of this.#pieces(offsetBytes, target.length)) {
      this.#fill(start, whole);
      target.set(this.#memory.subarray(within, within + length), done);
    }
  }

  /** A sector that is written in part is read first: nothing beside it changes. */
  write(offsetBytes: number, source: Uint8Array): void {
    for (const { done, start, within, length, whole } of this.#pieces(offsetBytes, source.length)) {
      if (within !== 0 || length !== whole) this.#fill(start, whole);
      this.#memory.set(source.subarray(done, done + length), within);
      for (let sent = 0; sent < whole; ) {
        const took = writeSync(this.#handle, this.#memory, sent, whole - sent, start + sent);
        if (took === 0) throw Object.assign(new Error('the card takes no more'), { code: 'EIO' });
        sent += took;
      }
    }
  }
}
