// How long a procedure can take: the shortest and the longest way from its beginning to each kind of end, every
// try used up and every watch run to its limit at the longest. A procedure with a loop that nothing bounds has
// no longest time, and this says so; that the loop is a fault is said by the check for gaps.

import type { Product } from '../manifest/schema.ts';
import { defaultStateLimit, exploreStates, type StateSpace } from './state-space.ts';
import { type StepExit, stepGraphOf } from './step-graph.ts';
import { type assumedTimes, type StepTime, stepTime } from './step-time.ts';
import { successorsOf } from './successors.ts';

export type EndKind = 'updated' | 'failed' | 'deferred';

export interface WayTime {
  readonly seconds: number;
  /** Full minutes, rounded up: what a plan is made with. */
  readonly minutes: number;
  /** The ids of the steps on the way, the end last; a step that was not done for want of tries stands too. */
  readonly path: readonly string[];
}

export interface EndTimes {
  readonly end: EndKind;
  readonly shortest: WayTime;
  readonly longest: WayTime;
}

export interface ProcedureTimes {
  /** False where a loop has no bound, or there are too many ways to follow: then all below is empty. */
  readonly bounded: boolean;
  /** One for each kind of end that can be reached. */
  readonly ends: readonly EndTimes[];
  /** Over all ends. */
  readonly shortest: WayTime | undefined;
  readonly longest: WayTime | undefined;
  /** Kinds of step that occur without a stated time: print `assumedTimes` of each. */
  readonly assumed: readonly (keyof typeof assumedTimes)[];
  /** Steps that wait the longer of a stated time and the plate's: then even the longest may be too short. */
  readonly plateMayBeLonger: readonly string[];
}

export function procedureTimes(product: Product, limit = defaultStateLimit): ProcedureTimes {
  return timesOver(product, exploreStates(successorsOf(stepGraphOf(product), 'control'), limit));
}

/** The same where the space of steps and tries alone is there already. */
export function timesOver(product: Product, space: StateSpace): ProcedureTimes {
  const { graph } = space.successors;
  const assumed = new Set<keyof typeof assumedTimes>();
  for (const step of product.procedure) {
    const assumption = stepTime(step, product.serves.length).assumed;
    if (assumption !== undefined) assumed.add(assumption);
  }
  const plateMayBeLonger = product.procedure
    .filter((step) => step.kind === 'wait' && step.orPlate)
    .map((step) => step.id);
  const shared = { assumed: [...assumed], plateMayBeLonger };
  const ways = weighWays(product, space);
  if (ways === undefined) {
    return { ...shared, bounded: false, ends: [], shortest: undefined, longest: undefined };
  }
  const ends = (['updated', 'failed', 'deferred'] as const).flatMap((end): EndTimes[] => {
    const reached = ways.ends.filter((id) => graph.steps[ways.stepOf(id)]?.end?.kind === end);
    const shortest = ways.best(reached, 'shortest');
    const longest = ways.best(reached, 'longest');
    return shortest === undefined || longest === undefined ? [] : [{ end, shortest, longest }];
  });
  return {
    ...shared,
    bounded: true,
    ends,
    shortest: ways.best(ways.ends, 'shortest'),
    longest: ways.best(ways.ends, 'longest'),
  };
}

interface Ways {
  /** The nodes that stand on an end. */
  readonly ends: readonly number[];
  stepOf(id: number): number;
  best(ends: readonly number[], which: 'shortest' | 'longest'): WayTime | undefined;
}

/** Shortest and longest way to every step with every count of tries, in an order in which each comes after all
 * that lead to it. undefined: there is no such order, or too much to follow. */
function weighWays(product: Product, space: StateSpace): Ways | undefined {
  const order = space.complete ? space.order() : undefined;
  if (order === undefined) return undefined;
  const { successors, count, words } = space;
  const { graph, stride } = successors;
  const { next, from } = space.edges();
  const least = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  const most = new Float64Array(count).fill(Number.NEGATIVE_INFINITY);
  const before = { shortest: new Int32Array(count).fill(-1), longest: new Int32Array(count).fill(-1) };
  // Exits are objects of their own, so each is its own key.
  const times = new Map<StepExit, StepTime>();
  for (const node of graph.steps) {
    const step = product.procedure[node.index]!;
    const exits = node.whenSpent === undefined ? node.exits : [...node.exits, node.whenSpent];
    for (const exit of exits) times.set(exit, stepTime(step, product.serves.length, exit.reason));
  }
  least[0] = 0;
  most[0] = 0;
  for (const id of order) {
    const exits = successors.exitsAt(words, id * stride);
    for (let e = 0; e < exits.length; e += 1) {
      const to = next[from[id]! + e]!;
      const cost = times.get(exits[e]!)!;
      const soonest = least[id]! + cost.shortestSeconds;
      const latest = most[id]! + cost.longestSeconds;
      if (soonest < least[to]!) {
        least[to] = soonest;
        before.shortest[to] = id;
      }
      if (latest > most[to]!) {
        most[to] = latest;
        before.longest[to] = id;
      }
    }
  }
  const stepOf = (id: number): number => successors.stepAt(words, id * stride);
  const ends: number[] = [];
  for (let id = 0; id < count; id += 1) if (graph.steps[stepOf(id)]?.end !== undefined) ends.push(id);
  return {
    ends,
    stepOf,
    best(among, which) {
      const seconds = which === 'shortest' ? least : most;
      let best: number | undefined;
      for (const id of among) {
        const better =
          best === undefined ||
          (which === 'shortest' ? seconds[id]! < seconds[best]! : seconds[id]! > seconds[best]!);
        if (better) best = id;
      }
      if (best === undefined) return undefined;
      const path: string[] = [];
      for (let id = best; id >= 0; id = before[which][id]!) path.push(graph.steps[stepOf(id)]?.id ?? '');
      // Stated in milliseconds at the finest: sums of such fractions are brought back to it.
      const total = Math.round(seconds[best]! * 1000) / 1000;
      return { seconds: total, minutes: Math.ceil(total / 60), path: path.reverse() };
    },
  };
}
