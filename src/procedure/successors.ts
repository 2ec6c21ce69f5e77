// What can come after where: one state of a walk and every state that may follow it. The check for gaps, the
// times and the walk all ask here, so that a step means one thing everywhere. States are packed into whole
// numbers of 32 bits, a field each, since the check visits millions. Judges nothing: a state that breaks a
// rule has successors too.

import type { Holding, StepExit, StepGraph, StepNode } from './step-graph.ts';

/** Unpacked, for the walk and for people. Indexes are those of the graph. */
export interface WalkState {
  /** `graph.steps.length` where the walk has run off the end. */
  readonly step: number;
  /** The state's index, by axis. */
  readonly positions: readonly number[];
  /** How often each step with `tries` was done, in the order of `graph.counted`. */
  readonly triesUsed: readonly number[];
  readonly busy: boolean;
  /** A watch or a read lies behind. */
  readonly seen: boolean;
}

/** Where a field lies: `(words[at + word] >>> shift) & mask`, the mask not shifted. */
interface Field {
  readonly word: number;
  readonly shift: number;
  readonly mask: number;
}

interface StepRule {
  readonly exits: readonly StepExit[];
  readonly spent: readonly StepExit[];
  readonly tries: Field | undefined;
  readonly limit: number;
  /** `(word & keep) | put` makes the step's `sets` true. */
  readonly keep: Int32Array;
  readonly put: Int32Array;
  readonly looks: number;
}

/** Some positions in some states, tested in a few operations: `holds` where all of them are so. */
export interface Condition {
  holds(words: Int32Array, at: number): boolean;
}

export interface Successors {
  readonly graph: StepGraph;
  /** 32-bit words of one state. */
  readonly stride: number;
  /** The most states that can follow one. */
  readonly mostExits: number;
  begin(): WalkState;
  stepAt(words: Int32Array, at: number): number;
  busyAt(words: Int32Array, at: number): boolean;
  seenAt(words: Int32Array, at: number): boolean;
  positionAt(words: Int32Array, at: number, axis: number): number;
  /** The exits that can be taken from here, in the order in which `follow` writes them. */
  exitsAt(words: Int32Array, at: number): readonly StepExit[];
  /** Writes every following state to `out`, `stride` words each, and tells how many they are. */
  follow(words: Int32Array, at: number, out: Int32Array): number;
  condition(holdings: readonly Holding[]): Condition;
  pack(state: WalkState, words: Int32Array, at: number): void;
  unpack(words: Int32Array, at: number): WalkState;
}

const seenBit = 1;
const busyBit = 2;
const headBits = 2;

/** Bits that hold the values 0 to `values - 1`. */
function bitsFor(values: number): number {
  return Math.max(1, 32 - Math.clz32(values - 1));
}

/**
 * `whole` is a state as the check for gaps means it. `control` leaves out positions, busy and seen: which exits
 * there are depends on the step and the tries alone, so loops, times and what can be reached need no more.
 */
export function successorsOf(graph: StepGraph, scope: 'whole' | 'control' = 'whole'): Successors {
  const steps = graph.steps;
  const stepBits = bitsFor(steps.length + 1);
  const stepMask = 2 ** stepBits - 1;
  const headMask = 2 ** (stepBits + headBits) - 1;
  // The head takes the low bits of word 0, fields take what is left from the top down.
  let word = 0;
  let lowest = stepBits + headBits;
  let free = 32 - lowest;
  // A field never lies across two words: a test of it stays one `and` and one comparison.
  const field = (values: number): Field => {
    const bits = bitsFor(values);
    if (bits > free) {
      word += 1;
      lowest = 0;
      free = 32;
    }
    free -= bits;
    return { word, shift: lowest + free, mask: bits === 32 ? -1 : 2 ** bits - 1 };
  };
  const axes = scope === 'whole' ? graph.axes.map((axis) => field(axis.states.length)) : [];
  const tries = graph.counted.map((index) => field((steps[index]?.tries ?? 0) + 1));
  const stride = word + 1;
  const masks = (holdings: readonly Holding[]): { keep: Int32Array; put: Int32Array } => {
    const keep = new Int32Array(stride).fill(-1);
    const put = new Int32Array(stride);
    for (const { axis, state } of holdings) {
      const at = axes[axis];
      if (at === undefined) continue;
      keep[at.word]! &= ~(at.mask << at.shift);
      put[at.word]! = (put[at.word]! & ~(at.mask << at.shift)) | (state << at.shift);
    }
    return { keep, put };
  };
  const rules: StepRule[] = steps.map((step: StepNode) => ({
    exits: step.exits,
    spent: step.whenSpent === undefined ? [] : [step.whenSpent],
    tries: step.tries === undefined ? undefined : tries[graph.counted.indexOf(step.index)],
    limit: step.tries ?? 0,
    ...masks(step.sets),
    looks: scope === 'whole' && step.looks ? seenBit : 0,
  }));
  const stepAt = (words: Int32Array, at: number): number => (words[at]! >>> headBits) & stepMask;
  const read = (words: Int32Array, at: number, where: Field): number =>
    (words[at + where.word]! >>> where.shift) & where.mask;
  const isSpent = (rule: StepRule, words: Int32Array, at: number): boolean =>
    rule.tries !== undefined && read(words, at, rule.tries) >= rule.limit;

  return {
    graph,
    stride,
    mostExits: Math.max(1, ...steps.map((step) => step.exits.length)),
    begin: () => ({
      step: 0,
      positions: graph.axes.map((axis) => axis.starts),
      triesUsed: graph.counted.map(() => 0),
      busy: false,
      seen: false,
    }),
    stepAt,
    busyAt: (words, at) => (words[at]! & busyBit) !== 0,
    seenAt: (words, at) => (words[at]! & seenBit) !== 0,
    positionAt: (words, at, axis) => read(words, at, axes[axis]!),
    exitsAt(words, at) {
      const rule = rules[stepAt(words, at)];
      if (rule === undefined) return [];
      return isSpent(rule, words, at) ? rule.spent : rule.exits;
    },
    follow(words, at, out) {
      const head = words[at]!;
      const rule = rules[(head >>> headBits) & stepMask];
      if (rule === undefined) return 0;
      if (isSpent(rule, words, at)) {
        // Not done: nothing but the place changes.
        for (let i = 0; i < stride; i += 1) out[i] = words[at + i]!;
        out[0] = (out[0]! & ~(stepMask << headBits)) | (rule.spent[0]!.to << headBits);
        return 1;
      }
      const flags = head & (busyBit | seenBit);
      const exits = rule.exits;
      for (let e = 0; e < exits.length; e += 1) {
        const exit = exits[e]!;
        const o = e * stride;
        for (let i = 0; i < stride; i += 1) out[o + i] = (words[at + i]! & rule.keep[i]!) | rule.put[i]!;
        if (rule.tries !== undefined) out[o + rule.tries.word]! += 1 << rule.tries.shift;
        let after = flags | rule.looks;
        if (scope === 'whole' && exit.busy !== 'as-before') {
          after = exit.busy === 'yes' ? after | busyBit : after & ~busyBit;
        }
        out[o] = (out[o]! & ~headMask) | (exit.to << headBits) | after;
      }
      return exits.length;
    },
    condition(holdings) {
      const { keep, put } = masks(holdings);
      const touched = [...keep.keys()].filter((i) => keep[i] !== -1);
      const only = touched[0];
      if (only !== undefined && touched.length === 1) {
        const mask = ~keep[only]!;
        const value = put[only]!;
        return { holds: (words, at) => (words[at + only]! & mask) === value };
      }
      return { holds: (words, at) => touched.every((i) => (words[at + i]! & ~keep[i]!) === put[i]!) };
    },
    pack(state, words, at) {
      words.fill(0, at, at + stride);
      words[at] = (state.step << headBits) | (state.busy ? busyBit : 0) | (state.seen ? seenBit : 0);
      for (const [i, where] of axes.entries()) words[at + where.word]! |= state.positions[i]! << where.shift;
      for (const [i, where] of tries.entries()) words[at + where.word]! |= state.triesUsed[i]! << where.shift;
    },
    unpack: (words, at) => ({
      step: stepAt(words, at),
      positions: axes.map((where) => read(words, at, where)),
      triesUsed: tries.map((where) => read(words, at, where)),
      busy: (words[at]! & busyBit) !== 0,
      seen: (words[at]! & seenBit) !== 0,
    }),
  };
}

/** Every move from one state, unpacked: for the walk, which makes one move at a time. */
export function movesFrom(
  successors: Successors,
  state: WalkState,
): { readonly exit: StepExit; readonly state: WalkState }[] {
  const { stride } = successors;
  const words = new Int32Array(stride);
  successors.pack(state, words, 0);
  const out = new Int32Array(stride * successors.mostExits);
  const exits = successors.exitsAt(words, 0);
  const count = successors.follow(words, 0, out);
  return exits.slice(0, count).map((exit, i) => ({ exit, state: successors.unpack(out, i * stride) }));
}
