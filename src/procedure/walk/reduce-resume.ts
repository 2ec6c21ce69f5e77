// A walk that broke off goes on only after the unit was identified anew, every position was looked at, and the
// measurements that still have to hold were made again. Where anything is not as the record says, it does not
// go on: what happened in between is not known, so no step of the manifest can be relied on.

import type { MeasureStep } from '../../manifest/schema.ts';
import { positionsAfter } from './may-be-writing.ts';
import { beginMeasure, measureOn } from './measure-progress.ts';
import { afterProcedure, freshProgress } from './move-walk.ts';
import { complain, namedPositions, type Phase, toPhase, type Walk, type WalkPlan, withDone } from './walk.ts';
import type { WalkEvent } from './walk-event.ts';

export function afterCautions(walk: Walk): Walk {
  return toPhase(walk, walk.resuming ? { kind: 'plate', first: null } : { kind: 'card' });
}

export function afterPlate(plan: WalkPlan, walk: Walk): Walk {
  return toPhase(
    walk,
    walk.resuming ? everyPosition(plan, 'resume') : { kind: 'version-before', first: null },
  );
}

function everyPosition(plan: WalkPlan, purpose: 'resume' | 'left'): Phase {
  return { kind: 'positions', purpose, axes: [...plan.successors.graph.axes.keys()], given: [] };
}

type Resume = Extract<Walk['phase'], { kind: 'positions' | 'again' }>;

/** undefined: this event is no answer here. */
export function reduceResume(plan: WalkPlan, walk: Walk, phase: Resume, event: WalkEvent): Walk | undefined {
  if (phase.kind === 'positions') return takePosition(plan, walk, phase, event);
  const [index, ...rest] = phase.steps;
  const step = index === undefined ? undefined : plan.product.procedure[index];
  if (step?.kind !== 'measure') throw new RangeError('no measurement to make again');
  const measured = measureOn(step.measure, phase.progress, event);
  if (measured === undefined) return undefined;
  if (measured.kind === 'refused') return complain(walk, measured.complaint.code, measured.complaint);
  if (measured.kind === 'on') {
    const on = toPhase(walk, { ...phase, progress: measured.progress });
    return measured.complaint === null ? on : complain(on, measured.complaint.code, { heard: true });
  }
  const facts = { readings: measured.readings, unit: step.measure.in };
  const noted = withDone(plan, walk, 'resume', step.id, measured.passes ? 'passes' : 'does-not-pass', facts);
  if (!measured.passes) {
    const from: Phase = { kind: 'again', steps: phase.steps, progress: beginMeasure(step.measure) };
    return toPhase(noted, { kind: 'stopped', why: 'not-dead', from, seen: null });
  }
  return rest.length > 0 ? toPhase(noted, measureAgain(plan, rest)) : goOn(plan, noted);
}

function takePosition(
  plan: WalkPlan,
  walk: Walk,
  phase: Extract<Phase, { kind: 'positions' }>,
  event: WalkEvent,
): Walk | undefined {
  if (event.kind !== 'position') return undefined;
  const { axes } = plan.successors.graph;
  const axis = phase.axes[phase.given.length];
  const position = axis === undefined ? undefined : axes[axis];
  if (axis === undefined || position === undefined) throw new RangeError('no position is left to ask for');
  const state = position.states.indexOf(event.state);
  if (state < 0)
    return complain(walk, 'state-unknown', { seen: event.state, expected: position.states.join(', ') });
  const given = [...phase.given, state];
  if (given.length < phase.axes.length) return toPhase(walk, { ...phase, given });
  const seen = [...walk.at.positions];
  for (const [i, at] of phase.axes.entries()) seen[at] = given[i]!;
  if (phase.purpose === 'left') {
    const told = { ...walk, at: { ...walk.at, positions: seen } };
    return toPhase(withDone(plan, told, 'after', 'positions', 'seen'), { kind: 'left' });
  }
  if (!asRecorded(plan, walk, seen)) {
    const noted = withDone(plan, walk, 'resume', 'positions', 'otherwise', {
      seen: namedPositions(plan, seen),
    });
    return toPhase(noted, {
      kind: 'stopped',
      why: 'positions-differ',
      from: everyPosition(plan, 'resume'),
      seen,
    });
  }
  const noted = withDone(plan, walk, 'resume', 'positions', 'as-recorded', {
    seen: namedPositions(plan, seen),
  });
  const { again, lapsed } = measurementsNow(walk);
  const known: Walk = { ...noted, lapsed };
  return again.length > 0 ? toPhase(known, measureAgain(plan, again)) : goOn(plan, known);
}

/** As the record has it, or as it stands once the step in hand is done: that step may have been under way. */
function asRecorded(plan: WalkPlan, walk: Walk, seen: readonly number[]): boolean {
  const after = positionsAfter(plan.successors.graph.steps[walk.at.step], walk.at.positions);
  return seen.every((state, axis) => state === walk.at.positions[axis] || state === after[axis]);
}

/**
 * A measurement rests on what was switched before it. Where one of those positions has been switched back since,
 * it says nothing any more and is not made again. Where nothing had been switched, it rests on all of them.
 */
function measurementsNow(walk: Walk): { again: number[]; lapsed: number[] } {
  const again: number[] = [];
  const lapsed: number[] = [];
  for (const { step, positions, switched } of walk.passed) {
    const rests = switched.length > 0 ? switched : [...positions.keys()];
    const holds = rests.every((axis) => positions[axis] === walk.at.positions[axis]);
    (holds ? again : lapsed).push(step);
  }
  return { again, lapsed };
}

function measureAgain(plan: WalkPlan, steps: readonly number[]): Phase {
  const step = plan.product.procedure[steps[0]!] as MeasureStep;
  return { kind: 'again', steps, progress: beginMeasure(step.measure) };
}

/** Back to the step in hand. A wait begins anew: nobody knows what was switched meanwhile. A watch never does. */
function goOn(plan: WalkPlan, walk: Walk): Walk {
  const resumed: Walk = { ...walk, resuming: false };
  const step = plan.product.procedure[walk.at.step];
  if (walk.result !== null) return afterProcedure(plan, resumed, walk.result);
  const arrivedMs = step?.kind === 'wait' ? walk.atMs : walk.arrivedMs;
  return { ...resumed, arrivedMs, phase: { kind: 'step', progress: freshProgress(plan, walk.at.step) } };
}
