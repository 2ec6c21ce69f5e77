// Loops that nothing bounds: ways that come to the same step with the same tries left, and so can do it again
// without end. For each group of steps that go round together, the shortest way into it and once round.

import type { Move, StateSpace } from './state-space.ts';

export interface Loop {
  /** From the beginning to the step, then round to it again. */
  readonly way: readonly Move[];
  /** How many of the moves come before the round. */
  readonly leadIn: number;
  /** The step that is reached twice. */
  readonly step: number;
}

/** `space`: of steps and tries alone, whole. */
export function shortestLoops(space: StateSpace): Loop[] {
  if (space.order() !== undefined) return [];
  const { next, from } = space.edges();
  const group = groupsOf(space.count, next, from);
  const best = new Map<string, { id: number; round: number[]; length: number }>();
  const keys = groupKeysOf(space, group);
  // In the order in which they were found, so by their distance from the beginning: most are cut off at once.
  const depths = depthsOf(space, next, from);
  for (let id = 0; id < space.count; id += 1) {
    const own = group[id]!;
    if (own < 0) continue;
    const key = keys[own]!;
    const limit = (best.get(key)?.length ?? Number.POSITIVE_INFINITY) - depths[id]!;
    const round = shortestRound(id, limit, group, next, from);
    if (round !== undefined) best.set(key, { id, round, length: depths[id]! + round.length });
  }
  return [...best.values()].map(({ id, round }) => {
    const { successors, words } = space;
    const { stride } = successors;
    const moves = round.map((at, i): Move => {
      const target = round[i + 1] ?? id;
      const exits = successors.exitsAt(words, at * stride);
      const exit = exits.find((_, e) => next[from[at]! + e] === target);
      if (exit === undefined) throw new Error('a loop that cannot be followed');
      return { step: successors.stepAt(words, at * stride), exit };
    });
    const leadIn = space.pathTo(id);
    return {
      way: [...leadIn, ...moves],
      leadIn: leadIn.length,
      step: successors.stepAt(words, id * stride),
    };
  });
}

function depthsOf(space: StateSpace, next: Int32Array, from: Int32Array): Int32Array {
  // Ids rise with depth, so each node's depth is settled before it is read.
  const depths = new Int32Array(space.count).fill(-1);
  depths[0] = 0;
  for (let id = 0; id < space.count; id += 1) {
    for (let e = from[id]!; e < from[id + 1]!; e += 1)
      if (depths[next[e]!]! < 0) depths[next[e]!] = depths[id]! + 1;
  }
  return depths;
}

/** Tarjan's strongly connected components, without recursion; -1 for a node that is on no loop. */
function groupsOf(count: number, next: Int32Array, from: Int32Array): Int32Array {
  const group = new Int32Array(count).fill(-1);
  const seenAt = new Int32Array(count).fill(-1);
  const low = new Int32Array(count);
  const open = new Uint8Array(count);
  const edge = new Int32Array(count);
  const stack: number[] = [];
  const calls: number[] = [0];
  let clock = 0;
  let groups = 0;
  while (calls.length > 0) {
    const id = calls[calls.length - 1]!;
    if (seenAt[id]! < 0) {
      seenAt[id] = clock;
      low[id] = clock;
      clock += 1;
      edge[id] = from[id]!;
      stack.push(id);
      open[id] = 1;
    }
    let descend = -1;
    while (edge[id]! < from[id + 1]!) {
      const to = next[edge[id]!]!;
      if (seenAt[to]! < 0) {
        descend = to;
        break;
      }
      if (open[to] === 1) low[id] = Math.min(low[id]!, low[to]!);
      edge[id]! += 1;
    }
    if (descend >= 0) {
      calls.push(descend);
      continue;
    }
    calls.pop();
    if (low[id] !== seenAt[id]) continue;
    const members: number[] = [];
    let member: number;
    do {
      member = stack.pop()!;
      open[member] = 0;
      members.push(member);
    } while (member !== id);
    let loops = members.length > 1;
    for (let e = from[id]!; e < from[id + 1]!; e += 1) loops ||= next[e] === id;
    if (!loops) continue;
    for (const each of members) group[each] = groups;
    groups += 1;
  }
  return group;
}

/** A key for each group, made of its steps: the same steps with fewer tries left elsewhere are one loop to the
 * reader. The tries do not change within a group, so none is larger than the procedure. */
function groupKeysOf(space: StateSpace, group: Int32Array): string[] {
  const { successors, words } = space;
  const steps: number[][] = [];
  for (let id = 0; id < space.count; id += 1) {
    const own = group[id]!;
    if (own < 0) continue;
    steps[own] ??= [];
    steps[own].push(successors.stepAt(words, id * successors.stride));
  }
  return steps.map((members) => members.sort((a, b) => a - b).join(' '));
}

/** The nodes of a shortest round from `id` to itself that has fewer than `limit` moves. */
function shortestRound(
  id: number,
  limit: number,
  group: Int32Array,
  next: Int32Array,
  from: Int32Array,
): number[] | undefined {
  const parents = new Map<number, number>([[id, -1]]);
  let edge: number[] = [id];
  for (let length = 1; edge.length > 0 && length < limit; length += 1) {
    const further: number[] = [];
    for (const at of edge) {
      for (let e = from[at]!; e < from[at + 1]!; e += 1) {
        const to = next[e]!;
        if (to === id) {
          const round: number[] = [];
          for (let back = at; back >= 0; back = parents.get(back)!) round.push(back);
          return round.reverse();
        }
        if (group[to] !== group[id] || parents.has(to)) continue;
        parents.set(to, at);
        further.push(to);
      }
    }
    edge = further;
  }
  return undefined;
}
