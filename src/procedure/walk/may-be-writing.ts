// May the unit be writing right now? The graph's `busy` says so of a watch that was left. This goes further,
// for everything that is shown or printed: a walk in hand also knows that a hold may just have been done, or
// that the lights are being watched. In doubt the answer is yes.

import type { Holding, StepNode } from '../step-graph.ts';
import type { Mapped, Walk } from './walk.ts';

/** A manifest that tells which patterns are shown while the unit writes. */
export function knowsBusy({ product }: Mapped): boolean {
  return product.patterns.some(({ busy }) => busy);
}

/**
 * A watch that lists a pattern which the unit shows while it writes: its `late` then leads on as busy. Where the
 * manifest knows no such pattern, every watch counts.
 */
export function watchesWriting(plan: Mapped, step: StepNode | undefined): boolean {
  return step?.kind === 'watch' && (!knowsBusy(plan) || step.exits.some(({ busy }) => busy === 'yes'));
}

function holds(holdings: readonly Holding[], positions: readonly number[]): boolean {
  return holdings.every(({ axis, state }) => positions[axis] === state);
}

/** The positions once the step in hand is done. */
export function positionsAfter(step: StepNode | undefined, positions: readonly number[]): readonly number[] {
  const after = [...positions];
  for (const { axis, state } of step?.sets ?? []) after[axis] = state;
  return after;
}

export function mayBeWriting(plan: Mapped, walk: Pick<Walk, 'at' | 'begun' | 'idle'>): boolean {
  if (!walk.begun) return false;
  const { graph } = plan.successors;
  const { at } = walk;
  const step = graph.steps[at.step];
  if (at.busy || watchesWriting(plan, step)) return true;
  // The step in hand may have been begun, or be done: count with both.
  const now = holds(graph.whileBusy, at.positions);
  const could = now || holds(graph.whileBusy, positionsAfter(step, at.positions));
  if (!could) return false;
  if (step?.exits.some(({ to }) => watchesWriting(plan, graph.steps[to])) === true) return true;
  const switched = graph.whileBusy.some(({ axis, state }) => graph.axes[axis]?.starts !== state);
  return switched && !(walk.idle && now) && graph.steps.some((one) => watchesWriting(plan, one));
}

/**
 * The same for a step that is only just shown, and not begun: what goes with it on the screen must not contradict
 * it where the manifest itself puts something elsewhere that has to stay while the unit writes.
 */
export function writesMeanwhile(plan: Mapped, walk: Pick<Walk, 'at' | 'begun' | 'idle'>): boolean {
  if (!walk.begun) return false;
  const { graph } = plan.successors;
  const { at } = walk;
  const step = graph.steps[at.step];
  if (at.busy || watchesWriting(plan, step)) return true;
  const { whileBusy } = graph;
  const undoes = step?.sets.some(({ axis, state }) =>
    whileBusy.some((w) => w.axis === axis && w.state !== state),
  );
  return !undoes && !walk.idle && holds(whileBusy, at.positions) && mayBeWriting(plan, walk);
}
