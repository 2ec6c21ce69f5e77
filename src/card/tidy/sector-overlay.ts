// Planned changes laid over a card that is only read: what is asked for comes with the changes in it, and the
// changed sectors are handed out stage by stage. Whole sectors of 512 bytes, the least that a medium writes at
// once; a sector whose bytes come out as they were is not written.

import type { BlockReader } from '../../ports/blocks.ts';
import type { CardWrite } from '../card-write.ts';

export const overlaySectorBytes = 512;
const maxWriteBytes = 2 ** 20;

export class SectorOverlay {
  readonly #card: BlockReader;
  /** As they will be, by sector number. */
  readonly #sectors = new Map<number, Uint8Array>();
  /** As they were when the stage began, of those touched since. */
  readonly #before = new Map<number, Uint8Array>();

  constructor(card: BlockReader) {
    this.#card = card;
  }

  #sector(number: number): Uint8Array {
    const known = this.#sectors.get(number);
    if (known !== undefined) return known;
    const bytes = new Uint8Array(overlaySectorBytes);
    this.#card.read(number * overlaySectorBytes, bytes);
    return bytes;
  }

  read(offsetBytes: number, lengthBytes: number): Uint8Array {
    const bytes = new Uint8Array(lengthBytes);
    for (let done = 0; done < lengthBytes; ) {
      const at = offsetBytes + done;
      const within = at % overlaySectorBytes;
      const length = Math.min(lengthBytes - done, overlaySectorBytes - within);
      bytes.set(this.#sector(Math.floor(at / overlaySectorBytes)).subarray(within, within + length), done);
      done += length;
    }
    return bytes;
  }

  change(offsetBytes: number, bytes: Uint8Array): void {
    for (let done = 0; done < bytes.length; ) {
      const at = offsetBytes + done;
      const number = Math.floor(at / overlaySectorBytes);
      const within = at % overlaySectorBytes;
      const length = Math.min(bytes.length - done, overlaySectorBytes - within);
      const sector = this.#sector(number);
      if (!this.#before.has(number)) this.#before.set(number, sector.slice());
      sector.set(bytes.subarray(done, done + length), within);
      this.#sectors.set(number, sector);
      done += length;
    }
  }

  /** What this stage changes, in order of place, neighbours together. The next stage begins after it. */
  takeWrites(): CardWrite[] {
    const changed = [...this.#before]
      .filter(([number, before]) => !sameBytes(before, this.#sector(number)))
      .map(([number]) => number)
      .sort((a, b) => a - b);
    this.#before.clear();
    return joinSectors(changed, overlaySectorBytes, (number) => this.#sector(number).slice());
  }
}

function sameBytes(a: Uint8Array, b: Uint8Array): boolean {
  return a.every((byte, index) => byte === b[index]);
}

/** Sectors that follow each other become one write, up to 1 MiB. `numbers` must rise. */
export function joinSectors(
  numbers: readonly number[],
  sectorBytes: number,
  bytesOf: (number: number) => Uint8Array,
): CardWrite[] {
  const writes: CardWrite[] = [];
  for (let from = 0; from < numbers.length; ) {
    let to = from + 1;
    while (numbers[to] === (numbers[to - 1] ?? 0) + 1 && (to - from) * sectorBytes < maxWriteBytes) to++;
    const bytes = new Uint8Array((to - from) * sectorBytes);
    for (let i = from; i < to; i++) bytes.set(bytesOf(numbers[i] ?? 0), (i - from) * sectorBytes);
    writes.push({ offsetBytes: (numbers[from] ?? 0) * sectorBytes, bytes });
    from = to;
  }
  return writes;
}
