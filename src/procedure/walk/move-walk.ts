// Moves of a walk along the graph: a step is left by one of its exits, steps whose tries are used up are passed
// over, and where an end is reached the frame after the procedure begins. The walk never stands on a step that
// is not to be done.

import type { ExitReason, StepNode } from '../step-graph.ts';
import { movesFrom } from '../successors.ts';
import { mayBeWriting } from './may-be-writing.ts';
import { beginMeasure } from './measure-progress.ts';
import {
  type DoneStep,
  type Phase,
  type StepProgress,
  type Walk,
  type WalkPlan,
  type WalkResult,
  withDone,
} from './walk.ts';

/** How a step begins. */
export function freshProgress(plan: WalkPlan, index: number): StepProgress {
  const step = plan.product.procedure[index];
  switch (step?.kind) {
    case 'wait':
      return { kind: 'wait', plate: step.orPlate ? 'not-asked' : 'none' };
    case 'measure':
      return { kind: 'measure', ...beginMeasure(step.measure) };
    case 'read':
      return { kind: 'read', first: null };
    case 'confirm':
      return { kind: 'confirm', index: 0 };
    default:
      return { kind: 'plain' };
  }
}

/** The step was left so: its entry, and where the walk stands now. The exit must be one of the step's. */
export function leaveStep(
  plan: WalkPlan,
  walk: Walk,
  reason: ExitReason,
  facts: DoneStep['facts'] = {},
  pattern?: string,
): Walk {
  const step = plan.successors.graph.steps[walk.at.step];
  const move = movesFrom(plan.successors, walk.at).find(
    ({ exit }) => exit.reason === reason && exit.pattern === pattern,
  );
  if (step === undefined || move === undefined) {
    throw new RangeError(`${step?.id ?? 'the end'} is not left by ${reason} ${pattern ?? ''}`);
  }
  const idle = step.kind === 'watch' ? move.exit.busy === 'no' : walk.idle && !mayStartWriting(plan, step);
  const passed = step.kind === 'measure' && reason === 'passes' ? passedNow(plan, walk) : walk.passed;
  const moved: Walk = { ...walk, at: move.state, arrivedMs: walk.atMs, idle, passed };
  return arrive(plan, withDone(plan, moved, 'procedure', step.id, reason, facts, pattern));
}

/** A button held, or a position put as it must be while the unit writes: what was seen before says no more. */
function mayStartWriting({ successors }: WalkPlan, { kind, sets }: StepNode): boolean {
  const { whileBusy } = successors.graph;
  return (
    kind === 'hold' ||
    sets.some(({ axis, state }) => whileBusy.some((w) => w.axis === axis && w.state === state))
  );
}

function passedNow({ successors }: WalkPlan, { at, passed }: Walk): Walk['passed'] {
  const { axes } = successors.graph;
  const { step, positions } = at;
  const switched = [...axes.keys()].filter((axis) => positions[axis] !== axes[axis]?.starts);
  return [...passed.filter((one) => one.step !== step), { step, positions, switched }];
}

/** At the step now in hand: passed over where no tries are left, the frame where it is an end. */
export function arrive(plan: WalkPlan, walk: Walk): Walk {
  const step = plan.successors.graph.steps[walk.at.step];
  if (step === undefined) throw new RangeError('the procedure has run off its end');
  if (step.whenSpent !== undefined) {
    const move = movesFrom(plan.successors, walk.at)[0];
    if (move?.exit.reason === 'no-tries-left') {
      const moved = { ...walk, at: move.state, arrivedMs: walk.atMs };
      return arrive(plan, withDone(plan, moved, 'procedure', step.id, 'no-tries-left'));
    }
  }
  if (step.end !== undefined) return afterProcedure(plan, walk, resultOf(step.end.kind, 'procedure'));
  const mayHaveTaken = walk.mayHaveTaken || mayBeWriting(plan, walk);
  return { ...walk, mayHaveTaken, phase: { kind: 'step', progress: freshProgress(plan, step.index) } };
}

export function resultOf(outcome: WalkResult['outcome'], by: WalkResult['by']): WalkResult {
  return { outcome, by, left: null, reason: null, cause: null, caseNumber: null, told: null };
}

/** An updated unit gets its settings back and is seen in service; every unit the rest. */
export function afterProcedure(plan: WalkPlan, walk: Walk, result: WalkResult): Walk {
  return { ...walk, result, phase: firstAfter(plan, result) };
}

function firstAfter(plan: WalkPlan, { outcome }: WalkResult): Phase {
  if (outcome !== 'updated') return { kind: 'left' };
  if (plan.release.resets.length > 0) return { kind: 'restore', index: 0 };
  return serviceOrLeft(plan);
}

export function serviceOrLeft({ product }: WalkPlan): Phase {
  return product.serves.length > 0 ? { kind: 'service', index: 0 } : { kind: 'left' };
}
