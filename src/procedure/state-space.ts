// Every state that a walk can come to, breadth first, so that the first way found to a state is a shortest one.
// Bounded: it stops at a stated number of states and says so. It knows nothing of faults; whoever looks for
// them is called at each state as it is found.

import type { StepExit } from './step-graph.ts';
import type { Successors } from './successors.ts';

/** One step of a way: the step, and the exit by which it was left. */
export interface Move {
  readonly step: number;
  readonly exit: StepExit;
}

/** What follows what, by id: `next[from[id]]` to `next[from[id + 1] - 1]`, in the order of the exits. */
export interface Edges {
  readonly next: Int32Array;
  readonly from: Int32Array;
}

export interface StateSpace {
  readonly successors: Successors;
  readonly count: number;
  /** False: there are more than the limit; what was found is still so. */
  readonly complete: boolean;
  /** State `id` lies at `id * successors.stride`. */
  readonly words: Int32Array;
  /** The id of a state packed elsewhere, -1 where it was not found. */
  find(words: Int32Array, at: number): number;
  /** The first state found at each step, -1 where there is none; one more at the end for the way off it. */
  firstAtStep(): Int32Array;
  /** Of a complete space; worked out when first asked for. */
  edges(): Edges;
  /** Ids so that each comes after all that lead to it; undefined where a loop forbids it. Of a complete space. */
  order(): Int32Array | undefined;
  /** The moves of a shortest way to it. */
  pathTo(id: number): Move[];
}

export const defaultStateLimit = 2_000_000;

export function exploreStates(
  successors: Successors,
  limit = defaultStateLimit,
  onArrival: (words: Int32Array, at: number, id: number, space: StateSpace) => void = () => {},
): StateSpace {
  const { stride } = successors;
  let capacity = 1 << 10;
  let words = new Int32Array(capacity * stride);
  let parents = new Int32Array(capacity);
  let slotMask = capacity * 4 - 1;
  // Open addressing, at most half full; a slot holds id + 1, so that a fresh table is an empty one.
  let slots = new Int32Array(slotMask + 1);
  let count = 0;
  let complete = true;

  const slotOf = (source: Int32Array, at: number): number => {
    // Mixed until every bit of every word tells in the low bits that pick the slot: fields lie at both ends.
    let hash = 0;
    for (let i = 0; i < stride; i += 1) {
      hash = Math.imul(hash ^ source[at + i]!, 0x9e3779b1);
      hash ^= hash >>> 16;
      hash = Math.imul(hash, 0x85ebca6b);
      hash ^= hash >>> 13;
    }
    hash = Math.imul(hash, 0xc2b2ae35);
    let slot = (hash ^ (hash >>> 16)) & slotMask;
    for (; ; slot = (slot + 1) & slotMask) {
      const id = slots[slot]! - 1;
      if (id < 0) return slot;
      let i = 0;
      while (i < stride && words[id * stride + i] === source[at + i]) i += 1;
      if (i === stride) return slot;
    }
  };
  const grow = (): void => {
    capacity *= 2;
    const moreWords = new Int32Array(capacity * stride);
    moreWords.set(words);
    words = moreWords;
    const moreParents = new Int32Array(capacity);
    moreParents.set(parents);
    parents = moreParents;
    slotMask = capacity * 4 - 1;
    slots = new Int32Array(slotMask + 1);
    for (let id = 0; id < count; id += 1) slots[slotOf(words, id * stride)] = id + 1;
  };
  /** Keeps a state that is new. */
  const add = (source: Int32Array, at: number, parent: number): boolean => {
    let slot = slotOf(source, at);
    if (slots[slot] !== 0) return false;
    if (count === capacity) {
      grow();
      slot = slotOf(source, at);
    }
    for (let i = 0; i < stride; i += 1) words[count * stride + i] = source[at + i]!;
    parents[count] = parent;
    slots[slot] = count + 1;
    count += 1;
    return true;
  };
  const scratch = new Int32Array(stride * successors.mostExits);
  let edges: Edges | undefined;
  let first: Int32Array | undefined;
  let order: Int32Array | null | undefined;
  const space: StateSpace = {
    successors,
    get count() {
      return count;
    },
    get complete() {
      return complete;
    },
    get words() {
      return words;
    },
    find: (source, at) => slots[slotOf(source, at)]! - 1,
    edges() {
      edges ??= edgesOf(space);
      return edges;
    },
    firstAtStep() {
      first ??= firstAtStepOf(space);
      return first;
    },
    order() {
      order ??= orderOf(space);
      return order ?? undefined;
    },
    pathTo(id) {
      const moves: Move[] = [];
      // Which exit led here is found again by following the parent: cheaper than a column for millions.
      const out = new Int32Array(stride * successors.mostExits);
      for (let at = id; at > 0; at = parents[at]!) {
        const from = parents[at]! * stride;
        const exits = successors.exitsAt(words, from);
        const found = successors.follow(words, from, out);
        for (let e = 0; e < found; e += 1) {
          if (space.find(out, e * stride) !== at) continue;
          moves.push({ step: successors.stepAt(words, from), exit: exits[e]! });
          break;
        }
      }
      return moves.reverse();
    },
  };

  successors.pack(successors.begin(), scratch, 0);
  add(scratch, 0, -1);
  onArrival(words, 0, 0, space);
  for (let id = 0; id < count && complete; id += 1) {
    const found = successors.follow(words, id * stride, scratch);
    for (let e = 0; e < found; e += 1) {
      if (count >= limit) {
        if (slots[slotOf(scratch, e * stride)] !== 0) continue;
        complete = false;
        break;
      }
      if (add(scratch, e * stride, id)) onArrival(words, (count - 1) * stride, count - 1, space);
    }
  }
  return space;
}

function edgesOf(space: StateSpace): Edges {
  const { successors, words, count } = space;
  const { stride } = successors;
  const out = new Int32Array(stride * successors.mostExits);
  const from = new Int32Array(count + 1);
  for (let id = 0; id < count; id += 1)
    from[id + 1] = from[id]! + successors.exitsAt(words, id * stride).length;
  const next = new Int32Array(from[count]!);
  for (let id = 0; id < count; id += 1) {
    const found = successors.follow(words, id * stride, out);
    for (let e = 0; e < found; e += 1) next[from[id]! + e] = space.find(out, e * stride);
  }
  return { next, from };
}

function firstAtStepOf({ successors, words, count }: StateSpace): Int32Array {
  const first = new Int32Array(successors.graph.steps.length + 1).fill(-1);
  for (let id = count - 1; id >= 0; id -= 1) first[successors.stepAt(words, id * successors.stride)] = id;
  return first;
}

/** Kahn's order; null where some states are left that only follow one another. */
function orderOf(space: StateSpace): Int32Array | null {
  const { count } = space;
  const { next, from } = space.edges();
  const incoming = new Int32Array(count);
  for (const to of next) incoming[to]! += 1;
  const order = new Int32Array(count);
  let ordered = incoming[0] === 0 ? 1 : 0;
  for (let at = 0; at < ordered; at += 1) {
    const id = order[at]!;
    for (let e = from[id]!; e < from[id + 1]!; e += 1) {
      const to = next[e]!;
      incoming[to]! -= 1;
      if (incoming[to] === 0) order[ordered++] = to;
    }
  }
  return ordered === count ? order : null;
}
