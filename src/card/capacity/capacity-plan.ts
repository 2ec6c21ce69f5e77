// Where a test of a card writes and reads, decided before anything is written. A card that claims more than it holds either
// loses what is written beyond its end, or writes it over what came before. So single units are strewn over all of it, a
// row of bytes at the low end is filled, and stretches longer than what a reader may hold back; and everything is read
// only after more was written elsewhere than any reader holds. The same numbers drawn give the same plan.

import { type FreeSpace, type Stretch, unitBytes } from './free-space.ts';

export interface CapacityGoal {
  /** 0.999: a card of which the fraud's share does not hold data is found with this probability. */
  readonly confidence: number;
  /** 0.05: five bytes in a hundred. */
  readonly fraud: number;
  /** All free space, not a sample of it. */
  readonly full: boolean;
}

export interface CapacityPlan {
  /** At the low end of the free space; read again last. */
  readonly low: readonly Stretch[];
  /** One unit each, in order of place. */
  readonly probes: readonly Probe[];
  /** Written in order of place. */
  readonly long: readonly Stretch[];
  /** What lies at the low end of the card and is not free; read, never written. */
  readonly besideLow: readonly Stretch[];
  /** Bytes that are written and judged. */
  readonly testedBytes: number;
}

export interface Probe {
  readonly offsetBytes: number;
  /** Drawn by chance; the others stand at powers of two, where chips and tables end. */
  readonly drawn: boolean;
}

/** More than a reader may hold back of what it was given; taken to be a few MiB at most. */
export const heldBackBytes = 16 * 2 ** 20;
/** Of a small card too: before anything is read again, more than a reader's and a card's own memory was written. */
const leastBytes = 64 * 2 ** 20;
const fewestLong = 4;
const lowestPower = 20;

/** Independent draws that miss a share `bad` of everything with a probability of at most 1 - `confidence`. */
export function drawsFor(confidence: number, bad: number): number {
  return Math.ceil(Math.log(1 - confidence) / Math.log(1 - bad));
}

const wholeUnits = (bytes: number) => Math.max(unitBytes, Math.floor(bytes / unitBytes) * unitBytes);

/** `draw`: even numbers from 0 up to 1. */
export function planCapacity(space: FreeSpace, goal: CapacityGoal, draw: () => number): CapacityPlan {
  const all = space.sizeBytes;
  if (all < 8 * unitBytes) return { low: [], probes: [], long: [], besideLow: [], testedBytes: 0 };
  const wanted = Math.min(all, Math.max(all * goal.fraud, Math.min(leastBytes, all / 2)));
  const lowBytes = wholeUnits(wanted / 2);
  const rest = all - lowBytes;
  const chance = drawsFor(goal.confidence, goal.fraud);
  // What is written beyond a card's end may come down anywhere before it: it must hit the low end often enough.
  const hits = drawsFor(goal.confidence, lowBytes / all);
  const probes = drawProbes(space, lowBytes, Math.max(chance, hits), draw);
  const long = goal.full
    ? space.placesOf(lowBytes, rest)
    : drawLong(space, lowBytes, wanted - lowBytes, chance, draw);
  const sum = (places: readonly Stretch[]) => places.reduce((bytes, place) => bytes + place.lengthBytes, 0);
  const low = space.placesOf(0, lowBytes);
  const besideLow = space.takenBefore(lowBytes);
  // Where all is tested, the single units are part of it.
  const strewn = goal.full ? 0 : probes.length * unitBytes;
  return { low, probes, long, besideLow, testedBytes: sum(low) + strewn + sum(long) };
}

/** One in each of so many parts of the rest, anywhere in it; and at both sides of each power of two. */
function drawProbes(space: FreeSpace, lowBytes: number, count: number, draw: () => number): Probe[] {
  const units = Math.floor((space.sizeBytes - lowBytes) / unitBytes);
  const parts = Math.min(count, units);
  const probes = new Map<number, Probe>();
  const add = (free: number, drawn: boolean): void => {
    const [place] = space.placesOf(Math.floor(free / unitBytes) * unitBytes, unitBytes);
    if (place === undefined || place.lengthBytes < unitBytes) return;
    const before = probes.get(place.offsetBytes);
    probes.set(place.offsetBytes, { offsetBytes: place.offsetBytes, drawn: drawn || before?.drawn === true });
  };
  for (let part = 0; part < parts; part++) {
    const from = Math.floor((part * units) / parts);
    const to = Math.floor(((part + 1) * units) / parts);
    add(lowBytes + (from + Math.floor(draw() * (to - from))) * unitBytes, true);
  }
  const last = space.stretches.at(-1);
  const endBytes = last === undefined ? 0 : last.offsetBytes + last.lengthBytes;
  for (let power = lowestPower; 2 ** power < endBytes; power++) {
    const free = space.freeBefore(2 ** power);
    for (const one of [free - unitBytes, free]) if (one >= lowBytes) add(one, false);
  }
  return [...probes.values()].sort((a, b) => a.offsetBytes - b.offsetBytes);
}

/** Stretches that are longer than what a reader holds back, where the sample is long enough to give some. */
function drawLong(
  space: FreeSpace,
  lowBytes: number,
  bytes: number,
  most: number,
  draw: () => number,
): Stretch[] {
  const rest = space.sizeBytes - lowBytes;
  const count = Math.max(1, Math.min(most, Math.max(fewestLong, Math.floor(bytes / heldBackBytes))));
  const length = wholeUnits(Math.min(bytes / count, rest / count));
  const places: Stretch[] = [];
  for (let part = 0; part < count; part++) {
    const from = Math.floor((part * rest) / count / unitBytes) * unitBytes;
    const to = Math.floor(((part + 1) * rest) / count / unitBytes) * unitBytes;
    const slack = Math.max(0, (to - from - length) / unitBytes);
    const at = lowBytes + from + Math.floor(draw() * (slack + 1)) * unitBytes;
    places.push(...space.placesOf(at, Math.min(length, to - from)));
  }
  return places;
}
