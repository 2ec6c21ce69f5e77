// Where everything stands at a moment of a walk, and what may be said of going on from there: the manifest's own
// order out, or, where it has none, that somebody has to be asked and about what. Never how to pull a card or
// cut power while the unit may be writing.

import { mayBeWriting, positionsAfter } from './may-be-writing.ts';
import type { Walk, WalkPlan } from './walk.ts';
import { type OrderedStep, wayOut } from './way-out.ts';

export interface StandingPosition {
  readonly name: string;
  readonly state: string;
  /** How it stands instead where the step in hand has been done, or begun, and not yet said. */
  readonly orElse: string | null;
  /** How it stands on a unit that is done. */
  readonly ends: string;
}

export interface Stand {
  readonly positions: readonly StandingPosition[];
  /** Before this walk nothing was switched, plugged or opened, and nothing has been since. */
  readonly untouched: boolean;
  /** The procedure has come to one of its ends. */
  readonly ended: boolean;
  readonly mayBeWriting: boolean;
  /** The step in hand; null in the frame around the procedure. */
  readonly step: string | null;
  /** null: the manifest has none from here. */
  readonly order: readonly OrderedStep[] | null;
}

export function standOf(plan: WalkPlan, walk: Walk): Stand {
  const { graph } = plan.successors;
  const { phase } = walk;
  const seen = phase.kind === 'stopped' ? phase.seen : null;
  const positions = seen ?? walk.at.positions;
  const ended = walk.result !== null && walk.result.by !== 'stop' && walk.begun;
  const step = walk.begun && !ended ? graph.steps[walk.at.step] : undefined;
  const after = seen === null ? positionsAfter(step, positions) : positions;
  const writing = mayBeWriting(plan, walk);
  // An order rests on everything standing as the walk knows it: not before a resumed walk has seen that.
  const known = step !== undefined && !walk.resuming;
  return {
    positions: graph.axes.map((axis, i) => ({
      name: axis.name,
      state: axis.states[positions[i]!]!,
      orElse: after[i] === positions[i] ? null : axis.states[after[i]!]!,
      ends: axis.states[axis.ends]!,
    })),
    untouched: !walk.begun,
    ended,
    mayBeWriting: writing,
    step: step?.id ?? null,
    order: known ? wayOut(plan, walk.at, writing) : null,
  };
}
