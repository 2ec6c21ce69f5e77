// Carries a test of a card's capacity out: fills the low end, strews single units, reads both; then writes the long
// stretches, reads them, and reads the low end again last. What stood under the strewn units is put back, so that a card
// whose addresses begin again has been found, as a rule, before anything of a person's was harmed. Writes to free space
// alone; whether it may was decided and confirmed before.

import type { KeyedStream } from '../bytes/keyed-stream.ts';
import { type CapacityGoal, type CapacityPlan, planCapacity } from '../card/capacity/capacity-plan.ts';
import { type FreeSpace, type Stretch, unitBytes } from '../card/capacity/free-space.ts';
import {
  type CapacityJudgement,
  judgeReadings,
  judgeUnits,
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
/** Halvings between the last good place and the first bad one. */
const mostRefinements = 24;

class CardTest {
  readonly #job: TestCardJob;
  readonly #buffer = new Uint8Array(pieceBytes);
  readonly #plan: CapacityPlan;
  readonly readings: Reading[] = [];
  readonly paces: Pace[] = [];
  #order = 0;
  #doneBytes = 0;
  #totalBytes: number;
  #point: TestPoint | undefined;

  constructor(job: TestCardJob, plan: CapacityPlan) {
    this.#job = job;
    this.#plan = plan;
    this.#totalBytes = 2 * plan.testedBytes + lengthOf(plan.low);
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
        this.#order++;
        if (timed && this.#point !== undefined)
          this.#point = { ...this.#point, writtenBytes: this.#point.writtenBytes + piece.lengthBytes };
        yield this.#event('writing', piece.lengthBytes);
      }
      if (timed) this.paces.push({ ...place, ms: this.#job.now() - began, what: 'write' });
    }
  }

  /** `firstOrder`: when the first piece of them was written; the others came right after. */
  *#read(places: readonly Stretch[], firstOrder: number, timed: boolean): Generator<TestEvent> {
    let order = firstOrder;
    for (const place of places) {
      const began = this.#job.now();
      for (const piece of pieces(place)) {
        const facts = { order: order++, drawn: true };
        this.#note(judgeUnits(this.#job.stream, piece.offsetBytes, this.#readAt(piece), facts));
        if (timed && this.#point !== undefined)
          this.#point = { ...this.#point, readBytes: this.#point.readBytes + piece.lengthBytes };
        yield this.#event('reading', piece.lengthBytes);
      }
      if (timed) this.paces.push({ ...place, ms: this.#job.now() - began, what: 'read' });
    }
  }

  /** The low end and the single units; what stood under these is put back, whatever happens. */
  *firstLook(): Generator<TestEvent> {
    const { blocks } = this.#job;
    const { low, probes } = this.#plan;
    const lowOrder = this.#order;
    yield* this.#write(low, false);
    blocks.flush();
    const before: { readonly offsetBytes: number; readonly bytes: Uint8Array }[] = [];
    try {
      const probeOrder = this.#order;
      for (const { offsetBytes } of probes) {
        const bytes = new Uint8Array(unitBytes);
        blocks.read(offsetBytes, bytes);
        before.push({ offsetBytes, bytes });
        this.#writeAt({ offsetBytes, lengthBytes: unitBytes });
        this.#order++;
        yield this.#event('writing', unitBytes);
      }
      blocks.flush();
      yield* this.#read(low, lowOrder, false);
      for (const [index, { offsetBytes, drawn }] of probes.entries()) {
        const piece = this.#readAt({ offsetBytes, lengthBytes: unitBytes });
        this.#note(judgeUnits(this.#job.stream, offsetBytes, piece, { order: probeOrder + index, drawn }));
        yield this.#event('reading', unitBytes);
      }
    } finally {
      // The last one first: where two of them fell on one place, the first has what truly stood there.
      for (const { offsetBytes, bytes } of before.reverse()) blocks.write(offsetBytes, bytes);
      blocks.flush();
    }
  }

  /** What is written there is what belongs there: where it was judged before, nothing changes. */
  #pushOut(): void {
    for (const place of this.#plan.pushOut) for (const piece of pieces(place)) this.#writeAt(piece);
    this.#job.blocks.flush();
  }

  *longLook(): Generator<TestEvent> {
    const { low, long } = this.#plan;
    const from = this.#job.resume ?? { writtenBytes: 0, readBytes: 0, readings: [] };
    const order = this.#order;
    // What was good in the first look may have come out of a reader's own memory: only what is read now counts.
    this.readings.splice(0, this.readings.length, ...from.readings);
    this.#point = { ...from, readings: this.readings };
    yield* this.#write(behind(long, from.writtenBytes), true);
    this.#pushOut();
    yield* this.#read(behind(long, from.readBytes), order, true);
    yield* this.#read(low, 0, false);
  }

  /** Narrows the place between the last good unit and the first bad one, a unit at a time, each put back. */
  *refine(judged: CapacityJudgement): Generator<TestEvent, CapacityJudgement> {
    const { blocks, space, stream } = this.#job;
    if (judged.how !== 'loses' || judged.lastGood === null || judged.firstBad === null) return judged;
    let good = space.freeBefore(judged.lastGood);
    let bad = space.freeBefore(judged.firstBad);
    for (let round = 0; round < mostRefinements && bad - good > unitBytes; round++) {
      const middle = Math.floor((good + bad) / 2 / unitBytes) * unitBytes;
      const [place] = space.placesOf(middle, unitBytes);
      if (place === undefined || middle <= good) break;
      const before = this.#readAt(place).slice();
      this.#writeAt(place);
      this.#pushOut();
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

const lengthOf = (places: readonly Stretch[]) => places.reduce((sum, place) => sum + place.lengthBytes, 0);

function* pieces({ offsetBytes, lengthBytes }: Stretch): Generator<Stretch> {
  for (let at = 0; at < lengthBytes; at += pieceBytes)
    yield { offsetBytes: offsetBytes + at, lengthBytes: Math.min(pieceBytes, lengthBytes - at) };
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
