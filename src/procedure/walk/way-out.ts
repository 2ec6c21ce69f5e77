// The order that a stop may print: the manifest's own steps from here to an end, and only where every way that
// they can take is one that breaks no `needs`, no `never` and no `whileBusy`. Nothing is made up and nothing
// left out: where the way leads through the update itself, or any branch of it breaks a rule, there is no order.

import type { ExitReason } from '../step-graph.ts';
import { movesFrom, type WalkState } from '../successors.ts';
import { watchesWriting } from './may-be-writing.ts';
import type { WalkPlan } from './walk.ts';

export interface OrderedStep {
  readonly id: string;
  /** Where each way out of it leads; none for an end. */
  readonly exits: readonly { readonly reason: ExitReason; readonly pattern?: string; readonly to: string }[];
}

/** More combinations than a person would ever follow: then there is no order. */
const mostStates = 2000;

export function wayOut(plan: WalkPlan, from: WalkState, writing: boolean): OrderedStep[] | null {
  const { successors, product } = plan;
  const { graph } = successors;
  const { whileBusy } = graph;
  const knowsBusy = product.patterns.some(({ busy }) => busy);
  const seen = new Set<string>();
  const exits = new Map<number, Map<string, OrderedStep['exits'][number]>>();
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
    if (watchesWriting(step) || (step.kind === 'watch' && !knowsBusy)) return null;
    if (step.looks && !from.seen) return null;
    const known = exits.get(state.step) ?? new Map();
    exits.set(state.step, known);
    for (const move of movesFrom(successors, state).reverse()) {
      const to = graph.steps[move.state.step];
      if (to === undefined) return null;
      const { reason, pattern } = move.exit;
      known.set(JSON.stringify([reason, pattern]), {
        reason,
        ...(pattern !== undefined && { pattern }),
        to: to.id,
      });
      queue.push(move.state);
    }
  }
  return [...exits].map(([index, known]) => ({
    id: graph.steps[index]!.id,
    exits: [...known.values()].reverse(),
  }));
}
