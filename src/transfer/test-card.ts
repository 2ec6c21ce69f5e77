// Carries a test of a card's capacity out: strews single units, fills the low end, reads both; then writes the long
// stretches, reads them, and reads the low end again last. Before anything counts as read, more was written elsewhere than
// a reader holds back. What stood under the strewn units is put back, and files at the low end are looked at as well, so
// that a card whose addresses begin again has been found, as a rule, before anything of a person's was harmed. Writes to
// free space alone; whether it may was decided and confirmed before.

import type { KeyedStream } from '../bytes/keyed-stream.ts';
import { sha256Hex } from '../bytes/sha256.ts';
import {
  type CapacityGoal,
  type CapacityPlan,
  heldBackBytes,
  planCapacity,
} from '../card/capacity/capacity-plan.ts';
import { type FreeSpace, type Stretch, unitBytes } from '../card/capacity/free-space.ts';
import {
  type CapacityJudgement,
  judgeReadings,
  judgeUnits,
  leastRealBytes,
  type Reading,
} from '../card/capacity/judge-readings.ts';
import type { Blocks } from '../ports/blocks.ts';

export interface TestCardJob {
  readonly blocks: Blocks;
  readonly space: FreeSpace;
  readonly goal: CapacityGoal;
  readonly stream: KeyedStream;
  /** Milliseconds; of any beginning. */
  readonly now: () => number;
  /** Where an earlier run was stopped; the low end and the single units are done, and were good. */
  readonly resume?: TestPoint | undefined;
}

/** Up to where the long stretches were written, and then read. */
export interface TestPoint {
  readonly writtenBytes: number;
  readonly readBytes: number;
  /** Of what was read. Grows with the run that it came from. */
  readonly readings: readonly Reading[];
}

export interface TestEvent {
  readonly phase: 'writing' | 'reading';
  readonly doneBytes: number;
  readonly totalBytes: number;
  /** Of the long part, once it has begun: what a later run may go on from. */
  readonly point: TestPoint | undefined;
}

/** How fast a part of the card was. */
export interface Pace {
  readonly offsetBytes: number;
  readonly lengthBytes: number;
  readonly ms: number;
  readonly what: 'write' | 'read';
}

export interface TestOutcome extends CapacityJudgement {
  readonly plan: CapacityPlan;
  readonly paces: readonly Pace[];
  readonly bad: readonly Reading[];
}

const pieceBytes = 2 ** 20;
/** Bad readings that are remembered one by one. */
const mostReadings = 100_000;
/** A card may claim so many times what it holds. */
const mostParts = 1024;
/** Halvings between the last good place and the first bad one. */
const mostRefinements = 24;

class CardTest {
  readonly #job: TestCardJob;
  readonly #buffer = new Uint8Array(pieceBytes);
  readonly #plan: CapacityPlan;
  readonly readings: Reading[] = [];
  readonly paces: Pace[] = [];
  #order = 0;
  /** When each piece was last written, by where it begins. */
  readonly #orders = new Map<number, number>();
  /** What files at the low end hold, unit by unit, by place: digests from before the first write. */
  readonly #filesBefore = new Map<number, string>();
  #doneBytes = 0;
  #totalBytes: number;
  #point: TestPoint | undefined;

  constructor(job: TestCardJob, plan: CapacityPlan) {
    this.#job = job;
    this.#plan = plan;
    const { low, long, besideLow } = plan;
    const again = lengthOf(firstOf(low)) + lengthOf(firstOf(long));
    this.#totalBytes = 2 * plan.testedBytes + lengthOf(low) + again + 4 * lengthOf(besideLow);
    this.#point = job.resume;
  }

  #event(phase: TestEvent['phase'], bytes: number): TestEvent {
    this.#doneBytes = Math.min(this.#totalBytes, this.#doneBytes + bytes);
    return { phase, doneBytes: this.#doneBytes, totalBytes: this.#totalBytes, point: this.#point };
  }

  #note(readings: readonly Reading[]): void {
    for (const reading of readings) {
      const last = this.readings.at(-1);
      // Good ones in a row, written one after the other, are one.
      const joins =
        last?.good &&
        reading.good &&
        last.drawn === reading.drawn &&
        last.offsetBytes + last.lengthBytes === reading.offsetBytes;
      if (joins)
        this.readings[this.readings.length - 1] = {
          ...last,
          lengthBytes: last.lengthBytes + reading.lengthBytes,
        };
      else if (this.readings.length < mostReadings) this.readings.push(reading);
    }
  }

  #writeAt({ offsetBytes, lengthBytes }: Stretch): void {
    const piece = this.#buffer.subarray(0, lengthBytes);
    this.#job.stream.fill(offsetBytes, piece);
    this.#job.blocks.write(offsetBytes, piece);
  }

  #readAt({ offsetBytes, lengthBytes }: Stretch): Uint8Array {
    const piece = this.#buffer.subarray(0, lengthBytes);
    this.#job.blocks.read(offsetBytes, piece);
    return piece;
  }

  *#write(places: readonly Stretch[], timed: boolean): Generator<TestEvent> {
    for (const place of places) {
      const began = this.#job.now();
      for (const piece of pieces(place)) {
        this.#writeAt(piece);
        this.#orders.set(piece.offsetBytes, this.#order++);
        if (timed && this.#point !== undefined)
          this.#point = { ...this.#point, writtenBytes: this.#point.writtenBytes + piece.lengthBytes };
        yield this.#event('writing', piece.lengthBytes);
      }
      if (timed) this.paces.push({ ...place, ms: this.#job.now() - began, what: 'write' });
    }
  }

  *#read(places: readonly Stretch[], timed: boolean): Generator<TestEvent> {
    for (const place of places) {
      const began = this.#job.now();
      for (const piece of pieces(place)) {
        const facts = { order: this.#orders.get(piece.offsetBytes) ?? 0, drawn: true };
        this.#note(judgeUnits(this.#job.stream, piece.offsetBytes, this.#readAt(piece), facts));
        if (timed && this.#point !== undefined)
          this.#point = { ...this.#point, readBytes: this.#point.readBytes + piece.lengthBytes };
        yield this.#event('reading', piece.lengthBytes);
      }
      if (timed) this.paces.push({ ...place, ms: this.#job.now() - began, what: 'read' });
    }
  }

  /** Writes as much as a reader may hold back, once more and just the same, so that nothing else is answered from there. */
  *#pushOut(places: readonly Stretch[]): Generator<TestEvent> {
    this.#job.blocks.flush();
    yield* this.#write(firstOf(places), false);
    this.#job.blocks.flush();
  }

  /** Of what lies at the low end and is not free: what is written beyond a card's end may come down there. */
  *#lookAtFiles(): Generator<TestEvent> {
    const isFirst = this.#filesBefore.size === 0;
    for (const place of this.#plan.besideLow)
      for (const piece of pieces(place)) {
        const bytes = this.#readAt(piece);
        for (let at = 0; at < bytes.length; at += unitBytes) {
          const unit = bytes.subarray(at, at + unitBytes);
          const offsetBytes = piece.offsetBytes + at;
          const digest = sha256Hex(unit).slice(0, 24);
          if (isFirst) this.#filesBefore.set(offsetBytes, digest);
          else if (this.#filesBefore.get(offsetBytes) !== digest)
            this.#note([
              {
                offsetBytes,
                lengthBytes: unit.length,
                order: 0,
                drawn: false,
                good: false,
                from: this.#job.stream.placeOf(unit) ?? null,
              },
            ]);
        }
        yield this.#event('reading', piece.lengthBytes);
      }
  }

  /**
   * The single units, then the low end, which is more than a reader holds back, then both are read. What stood under the
   * units is put back, whatever happens; where one of them came down on a file, nothing more is written at all.
   */
  *firstLook(): Generator<TestEvent> {
    const { blocks } = this.#job;
    const { low, probes } = this.#plan;
    yield* this.#lookAtFiles();
    const before: Before[] = [];
    try {
      for (const { offsetBytes } of probes) {
        const bytes = new Uint8Array(unitBytes);
        blocks.read(offsetBytes, bytes);
        before.push({ offsetBytes, bytes });
        this.#writeAt({ offsetBytes, lengthBytes: unitBytes });
        this.#orders.set(offsetBytes, this.#order++);
        yield this.#event('writing', unitBytes);
      }
      blocks.flush();
      yield* this.#lookAtFiles();
      if (this.readings.length > 0) return;
      yield* this.#write(low, false);
      blocks.flush();
      for (const { offsetBytes, drawn } of probes) {
        const piece = this.#readAt({ offsetBytes, lengthBytes: unitBytes });
        const order = this.#orders.get(offsetBytes) ?? 0;
        this.#note(judgeUnits(this.#job.stream, offsetBytes, piece, { order, drawn }));
        yield this.#event('reading', unitBytes);
      }
      yield* this.#read(low, false);
      yield* this.#lookAtFiles();
    } finally {
      this.#putBack(before);
    }
  }

  /** All of it that can be, also where the card fails at one place. */
  #putBack(before: readonly Before[]): void {
    const failed: unknown[] = [];
    const attempt = (act: () => void): void => {
      try {
        act();
      } catch (error) {
        failed.push(error);
      }
    };
    const { blocks } = this.#job;
    // The last one first: where two of them fell on one place, the first has what truly stood there.
    for (const { offsetBytes, bytes } of before.toReversed()) attempt(() => blocks.write(offsetBytes, bytes));
    attempt(() => blocks.flush());
    if (failed.length > 0) throw failed[0];
  }

  *longLook(): Generator<TestEvent> {
    const { low, long } = this.#plan;
    const from = this.#job.resume ?? { writtenBytes: 0, readBytes: 0, readings: [] };
    // What was good in the first look is read again here: only what a card holds at the end counts.
    this.readings.splice(0, this.readings.length, ...from.readings);
    if (this.#filesBefore.size === 0) yield* this.#lookAtFiles();
    this.#point = { ...from, readings: this.readings };
    yield* this.#write(behind(long, from.writtenBytes), true);
    yield* this.#pushOut(low);
    yield* this.#read(behind(long, from.readBytes), true);
    yield* this.#pushOut(long);
    yield* this.#read(low, false);
    yield* this.#lookAtFiles();
  }

  /**
   * A few readings tell only a multiple of where the addresses begin again: the last free unit is written, looked for at
   * every place that a smaller part of it would lead to, and put back.
   */
  #smallestStep(step: number): number {
    const { blocks, space, stream } = this.#job;
    const [place] = space.placesOf(space.sizeBytes - unitBytes, unitBytes);
    if (place === undefined) return step;
    const before = this.#readAt(place).slice();
    try {
      this.#writeAt(place);
      let smallest = step;
      for (let parts = 2; parts <= mostParts && step / parts >= leastRealBytes; parts++) {
        const part = step / parts;
        if (part % blocks.sectorBytes !== 0 || part > place.offsetBytes) continue;
        const there = this.#readAt({ offsetBytes: place.offsetBytes - part, lengthBytes: unitBytes });
        if (stream.placeOf(there) === place.offsetBytes) smallest = part;
      }
      return smallest;
    } finally {
      blocks.write(place.offsetBytes, before);
      blocks.flush();
    }
  }

  /** Narrows the place between the last good unit and the first bad one, a unit at a time, each put back. */
  *refine(judged: CapacityJudgement): Generator<TestEvent, CapacityJudgement> {
    const { blocks, space, stream } = this.#job;
    if (judged.how === 'begins-again' && judged.realBytes !== null)
      return { ...judged, realBytes: this.#smallestStep(judged.realBytes) };
    if (judged.how !== 'loses' || judged.lastGood === null || judged.firstBad === null) return judged;
    let good = space.freeBefore(judged.lastGood);
    let bad = space.freeBefore(judged.firstBad);
    for (let round = 0; round < mostRefinements && bad - good > unitBytes; round++) {
      const middle = Math.floor((good + bad) / 2 / unitBytes) * unitBytes;
      const [place] = space.placesOf(middle, unitBytes);
      if (place === undefined || middle <= good) break;
      const before = this.#readAt(place).slice();
      this.#writeAt(place);
      const elsewhere = middle < lengthOf(this.#plan.low) ? this.#plan.long : this.#plan.low;
      for (const event of this.#pushOut(elsewhere)) yield { ...event, phase: 'reading' };
      const [first] = judgeUnits(stream, place.offsetBytes, this.#readAt(place), { order: 0, drawn: true });
      blocks.write(place.offsetBytes, before);
      blocks.flush();
      if (first?.good === true) good = middle + unitBytes;
      else bad = middle;
      yield this.#event('reading', 0);
    }
    const [end] = space.placesOf(Math.min(bad, space.sizeBytes - unitBytes), unitBytes);
    const realBytes = end?.offsetBytes ?? judged.realBytes;
    return { ...judged, realBytes, firstBad: realBytes };
  }
}

interface Before {
  readonly offsetBytes: number;
  readonly bytes: Uint8Array;
}

const lengthOf = (places: readonly Stretch[]) => places.reduce((sum, place) => sum + place.lengthBytes, 0);

function* pieces({ offsetBytes, lengthBytes }: Stretch): Generator<Stretch> {
  for (let at = 0; at < lengthBytes; at += pieceBytes)
    yield { offsetBytes: offsetBytes + at, lengthBytes: Math.min(pieceBytes, lengthBytes - at) };
}

/** As much of them as a reader may hold back. */
function firstOf(places: readonly Stretch[]): Stretch[] {
  let left = heldBackBytes;
  return places.flatMap(({ offsetBytes, lengthBytes }) => {
    const length = Math.min(left, lengthBytes);
    left -= length;
    return length === 0 ? [] : [{ offsetBytes, lengthBytes: length }];
  });
}

/** What is left of the places once so many bytes of them are done. */
function behind(places: readonly Stretch[], doneBytes: number): Stretch[] {
  let left = doneBytes;
  return places.flatMap((place) => {
    const skip = Math.min(left, place.lengthBytes);
    left -= skip;
    if (skip === place.lengthBytes) return [];
    return [{ offsetBytes: place.offsetBytes + skip, lengthBytes: place.lengthBytes - skip }];
  });
}

/** Yields between pieces, where a person may stop it: the free space is then as free as it was. */
export function* testCard(job: TestCardJob): Generator<TestEvent, TestOutcome> {
  const { blocks, space, goal, stream } = job;
  const plan = planCapacity(space, goal, stream.draws());
  const test = new CardTest(job, plan);
  const judge = () => judgeReadings(test.readings, blocks.sizeBytes);
  if (job.resume === undefined) yield* test.firstLook();
  let judged = judge();
  if (judged.verdict === 'holds') {
    yield* test.longLook();
    judged = judge();
  }
  judged = yield* test.refine(judged);
  const bad = test.readings.filter(({ good }) => !good);
  return { ...judged, plan, paces: test.paces, bad };
}
