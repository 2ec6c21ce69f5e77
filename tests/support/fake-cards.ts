// Cards that claim more than they hold, each in another way, and honest ones that fail; at the block port, in memory, by
// units of 4 KiB. None of them ever says that anything is wrong.

import type { Blocks } from '../../src/ports/blocks.ts';
import { seededNumbers } from './faulty-blocks.ts';

const unit = 4096;

export interface FakeCard extends Blocks {
  /** The card as it truly is, for the judge: what is there now. */
  readonly unitAt: (offsetBytes: number) => Uint8Array;
  readonly written: () => number;
}

interface Behaviour {
  /** Where a unit truly lies; undefined: nowhere, and what is written there is lost. */
  readonly place: (index: number) => number | undefined;
  /** Changes what is read of a unit. */
  readonly spoil?: (index: number, bytes: Uint8Array, written: number) => void;
  readonly onWrite?: (index: number, store: Map<number, Uint8Array>) => void;
  /** Answers from its own memory as long as this much was not written since. */
  readonly cacheUnits?: number;
}

function card(sizeBytes: number, { place, spoil, onWrite, cacheUnits = 0 }: Behaviour): FakeCard {
  const store = new Map<number, Uint8Array>();
  const cache = new Map<number, Uint8Array>();
  let written = 0;
  const load = (index: number): Uint8Array => {
    const at = place(index);
    return (at === undefined ? undefined : store.get(at)) ?? new Uint8Array(unit);
  };
  return {
    sizeBytes,
    sectorBytes: 512,
    device: '1:1',
    proof: 'direct',
    unitAt: (offsetBytes) => load(offsetBytes / unit),
    written: () => written,
    read(offsetBytes, target) {
      if (offsetBytes + target.length > sizeBytes) throw new RangeError('beyond the card');
      for (let at = 0; at < target.length; at += unit) {
        const index = (offsetBytes + at) / unit;
        const bytes = (cache.get(index) ?? load(index)).slice();
        if (!cache.has(index)) spoil?.(index, bytes, written);
        target.set(bytes, at);
      }
    },
    write(offsetBytes, source) {
      if (offsetBytes + source.length > sizeBytes) throw new RangeError('beyond the card');
      for (let at = 0; at < source.length; at += unit) {
        const index = (offsetBytes + at) / unit;
        const bytes = source.slice(at, at + unit);
        const there = place(index);
        if (there !== undefined) store.set(there, bytes);
        onWrite?.(index, store);
        written += unit;
        if (cacheUnits === 0) continue;
        cache.delete(index);
        cache.set(index, bytes);
        const oldest = cache.keys().next().value;
        if (cache.size > cacheUnits && oldest !== undefined) cache.delete(oldest);
      }
    },
    flush() {},
    close() {},
  };
}

export const fakeCards = {
  honest: (size: number) => card(size, { place: (index) => index }),
  /** Its addresses begin again. */
  wraps: (size: number, real: number) => card(size, { place: (index) => index % (real / unit) }),
  /** What lies beyond is lost, and reads as zeros. */
  drops: (size: number, real: number) =>
    card(size, { place: (index) => (index < real / unit ? index : undefined) }),
  /** The same, but the first unit of each part of 8 MiB is held: who looks only there finds nothing. */
  holdsFirstOfEach: (size: number, real: number) =>
    card(size, { place: (index) => (index < real / unit || index % 2048 === 0 ? index : undefined) }),
  /** The same, but what was written last is answered from memory. */
  dropsBehindCache: (size: number, real: number, cacheBytes: number) =>
    card(size, {
      place: (index) => (index < real / unit ? index : undefined),
      cacheUnits: cacheBytes / unit,
    }),
  /** Only so much of what was written last is kept. */
  keepsLast: (size: number, kept: number) => {
    const order: number[] = [];
    return card(size, {
      place: (index) => index,
      onWrite: (index, store) => {
        order.push(index);
        if (order.length > kept / unit) store.delete(order.shift() ?? -1);
      },
    });
  },
  /** A part of it holds nothing. */
  losesPart: (size: number, from: number, to: number) =>
    card(size, { place: (index) => (index * unit >= from && index * unit < to ? undefined : index) }),
  /** The same, but what was written last is answered from memory. */
  losesPartBehindCache: (size: number, from: number, to: number, cacheBytes: number) =>
    card(size, {
      place: (index) => (index * unit >= from && index * unit < to ? undefined : index),
      cacheUnits: cacheBytes / unit,
    }),
  /** Whatever is asked for, the last unit written comes back. */
  repeatsLast: (size: number) => card(size, { place: () => 0 }),
  /** One unit in so many has a wrong bit. */
  flips: (size: number, oneIn: number, seed: number) => {
    const random = seededNumbers(seed);
    const bad = new Map<number, boolean>();
    return card(size, {
      place: (index) => index,
      spoil: (index, bytes) => {
        if (!bad.has(index)) bad.set(index, random() * oneIn < 1);
        if (bad.get(index)) bytes[2000] = (bytes[2000] ?? 0) ^ 4;
      },
    });
  },
  /** After so much was written, nothing is taken any more. */
  wearsOut: (size: number, afterBytes: number) => {
    let written = 0;
    return card(size, {
      place: (index) => index,
      onWrite: (index, store) => {
        written += unit;
        if (written > afterBytes) store.delete(index);
      },
    });
  },
} as const;
