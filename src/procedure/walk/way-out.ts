// The order that a stop may print: the manifest's own steps from here to an end, and only where every way that
// they can take is one that breaks no `needs`, no `never` and no `whileBusy`. Nothing is made up and nothing
// left out: where the way leads through the update itself, or any branch of it breaks a rule, there is no order.

import type { ExitReason } from '../step-graph.ts';
import { movesFrom, type WalkState } from '../successors.ts';
import { watchesWriting } from './may-be-writing.ts';
import type { Mapped } from './walk.ts';

export interface OrderedStep {
  readonly id: string;
  /** Where each way out of it leads; none for an end. */
  readonly exits: readonly { readonly reason: ExitReason; readonly pattern?: string; readonly to: string }[];
}

/** A way out of a step, with the index of the step it leads to. */
interface Way {
  readonly reason: ExitReason;
  readonly pattern?: string;
  readonly to: number;
}

/** More combinations than a person would ever follow: then there is no order. */
const mostStates = 2000;

export function wayOut(plan: Mapped, from: WalkState, writing: boolean): OrderedStep[] | null {
  const { successors } = plan;
  const { graph } = successors;
  const { whileBusy } = graph;
  const seen = new Set<string>();
  const exits = new Map<number, Map<string, Way>>();
  const queue: WalkState[] = [from];
  const is = (state: WalkState, list: readonly { axis: number; state: number }[]) =>
    list.every((holding) => state.positions[holding.axis] === holding.state);

  while (queue.length > 0) {
    // Last in, first out, with the usual way pushed last: the list then reads in the order of going.
    const state = queue.pop()!;
    const key = JSON.stringify([state.step, state.positions, state.triesUsed, state.busy]);
    if (seen.has(key)) continue;
    seen.add(key);
    const step = graph.steps[state.step];
    if (step === undefined || seen.size > mostStates) return null;
    if (!is(state, step.needs) || graph.never.some(({ when }) => is(state, when))) return null;
    if (state.busy && !is(state, whileBusy)) return null;
    if (step.end !== undefined && !is(state, step.end.leaves)) return null;
    // What must hold while it may be writing is left alone, even where the manifest would not know of it.
    if (
      writing &&
      step.sets.some(({ axis, state: set }) => whileBusy.some((w) => w.axis === axis && w.state !== set))
    )
      return null;
    // The update is still to come, or may be under way: that is no way out.
    if (watchesWriting(plan, step)) return null;
    if (step.looks && !from.seen) return null;
    const known = exits.get(state.step) ?? new Map();
    exits.set(state.step, known);
    for (const move of movesFrom(successors, state).reverse()) {
      const to = move.state.step;
      if (graph.steps[to] === undefined) return null;
      const { reason, pattern } = move.exit;
      known.set(JSON.stringify([reason, pattern]), { reason, ...(pattern !== undefined && { pattern }), to });
      queue.push(move.state);
    }
  }
  return withoutSpent(exits).map(([index, ways]) => ({
    id: graph.steps[index]!.id,
    exits: ways.map(({ to, ...way }) => ({ ...way, to: graph.steps[to]!.id })),
  }));
}

/** A step whose tries are all used up is not done, so no order names it: what leads there leads on. */
function withoutSpent(exits: ReadonlyMap<number, ReadonlyMap<string, Way>>): [number, Way[]][] {
  const onlySpent = new Map<number, number>();
  for (const [step, ways] of exits) {
    const [only, ...more] = ways.values();
    if (only?.reason === 'no-tries-left' && more.length === 0) onlySpent.set(step, only.to);
  }
  const past = (step: number): number => {
    const to = onlySpent.get(step);
    return to === undefined ? step : past(to);
  };
  return [...exits]
    .filter(([step]) => !onlySpent.has(step))
    .map(([step, ways]) => [step, [...ways.values()].reverse().map((way) => ({ ...way, to: past(way.to) }))]);
}
