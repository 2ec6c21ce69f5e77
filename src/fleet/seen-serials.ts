// Which serials stood in a table already, and in which line. A million of them in some 40 MB outside of the engine's
// heap: an open hash table of places, the serials' letters one after the other. What is alike is compared letter by
// letter, never by hash alone.

const firstSlots = 1024;

export class SeenSerials {
  /** Starts every hash: who makes a table cannot know which serials fall together. */
  readonly #seed: number;
  /** Place of an entry, counted from 1; 0: free. Always twice as many as entries, or more. */
  #slots = new Uint32Array(firstSlots);
  #lines = new Uint32Array(firstSlots);
  /** Where the letters of each entry end. */
  #ends = new Uint32Array(firstSlots);
  #letters = new Uint16Array(firstSlots * 16);
  #count = 0;

  constructor(seed: number) {
    this.#seed = seed;
  }

  /** The line in which the serial stood first; undefined where this is the first, which is noted. */
  firstLine(serial: string, line: number): number | undefined {
    let slot = this.#slotOf(this.#hash(serial));
    for (;;) {
      const place = this.#slots[slot] as number;
      if (place === 0) break;
      if (this.#isAt(place - 1, serial)) return this.#lines[place - 1];
      slot = (slot + 1) & (this.#slots.length - 1);
    }
    this.#add(serial, line, slot);
    return undefined;
  }

  #add(serial: string, line: number, slot: number): void {
    const begin = this.#beginOf(this.#count);
    const end = begin + serial.length;
    if (end > this.#letters.length) this.#letters = grown(this.#letters, new Uint16Array(end * 2));
    if (this.#count === this.#lines.length) {
      this.#lines = grown(this.#lines, new Uint32Array(this.#count * 2));
      this.#ends = grown(this.#ends, new Uint32Array(this.#count * 2));
    }
    for (let i = 0; i < serial.length; i++) this.#letters[begin + i] = serial.charCodeAt(i);
    this.#ends[this.#count] = end;
    this.#lines[this.#count] = line;
    this.#count += 1;
    this.#slots[slot] = this.#count;
    if (this.#count * 2 > this.#slots.length) this.#widen();
  }

  #widen(): void {
    this.#slots = new Uint32Array(this.#slots.length * 4);
    for (let at = 0; at < this.#count; at++) {
      let hash = this.#seed;
      for (let i = this.#beginOf(at); i < (this.#ends[at] as number); i++)
        hash = mixed(hash, this.#letters[i] as number);
      let slot = this.#slotOf(hash);
      while (this.#slots[slot] !== 0) slot = (slot + 1) & (this.#slots.length - 1);
      this.#slots[slot] = at + 1;
    }
  }

  #isAt(at: number, serial: string): boolean {
    const begin = this.#beginOf(at);
    if ((this.#ends[at] as number) - begin !== serial.length) return false;
    for (let i = 0; i < serial.length; i++) {
      if (this.#letters[begin + i] !== serial.charCodeAt(i)) return false;
    }
    return true;
  }

  #beginOf = (at: number): number => (at === 0 ? 0 : (this.#ends[at - 1] as number));

  #hash(serial: string): number {
    let hash = this.#seed;
    for (let i = 0; i < serial.length; i++) hash = mixed(hash, serial.charCodeAt(i));
    return hash;
  }

  #slotOf(hash: number): number {
    return (hash ^ (hash >>> 15)) & (this.#slots.length - 1);
  }
}

/** One step of FNV-1a, 32 bits, with a further turn so that serials that count upwards spread. */
function mixed(hash: number, letter: number): number {
  const next = Math.imul(hash ^ letter, 0x01000193);
  return (next ^ (next >>> 13)) >>> 0;
}

function grown<Numbers extends Uint16Array | Uint32Array>(from: Numbers, to: Numbers): Numbers {
  to.set(from);
  return to;
}
