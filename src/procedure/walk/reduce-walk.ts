// The walk's one function: a walk and an event give the walk that follows. It has no clock, no terminal and no
// record; what has to be kept stands in `done`. An answer that cannot be taken leaves the question standing,
// with a complaint. An event that is no answer to the question is a mistake of the caller, and is thrown.

import { knowsBusy, mayBeWriting } from './may-be-writing.ts';
import { afterProcedure, resultOf } from './move-walk.ts';
import { reduceAfter } from './reduce-after.ts';
import { reduceBefore } from './reduce-before.ts';
import { reduceResume } from './reduce-resume.ts';
import { reduceStep } from './reduce-step.ts';
import { complain, type Phase, toPhase, type Walk, type WalkPlan, withDone } from './walk.ts';
import type { WalkEvent } from './walk-event.ts';

export function reduceWalk(plan: WalkPlan, before: Walk, event: WalkEvent): Walk {
  if (event.atMs < before.atMs) return complain(before, 'backwards', { fromMs: before.atMs });
  const walk: Walk = { ...before, atMs: event.atMs, complaint: null };
  const { phase } = walk;
  const after = event.kind === 'stop' ? stop(walk) : step(plan, walk, phase, event);
  if (after === undefined) throw new RangeError(`${event.kind} is no answer to ${phase.kind}`);
  // An answer that was refused for its form takes no time either.
  return after.complaint !== null && !after.complaint.heard ? { ...after, atMs: before.atMs } : after;
}

function step(plan: WalkPlan, walk: Walk, phase: Phase, event: WalkEvent): Walk | undefined {
  switch (phase.kind) {
    case 'cautions':
    case 'card':
    case 'plate':
    case 'version-before':
    case 'lead':
    case 'settings':
    case 'starts':
      return reduceBefore(plan, walk, phase, event);
    case 'step':
      return reduceStep(plan, walk, phase.progress, event);
    case 'positions':
    case 'again':
      return reduceResume(plan, walk, phase, event);
    case 'restore':
    case 'service':
    case 'left':
    case 'cause':
    case 'reason':
    case 'case':
    case 'told':
      return reduceAfter(plan, walk, phase, event);
    case 'stopped':
      return fromStop(plan, walk, phase, event);
    case 'ended':
    case 'broken-off':
      return undefined;
  }
}

/** At any moment; a stop within a stop is the same stop. */
function stop(walk: Walk): Walk | undefined {
  const { phase } = walk;
  if (phase.kind === 'stopped') return walk;
  if (phase.kind === 'ended' || phase.kind === 'broken-off') return undefined;
  return toPhase(walk, { kind: 'stopped', why: 'asked', from: phase, seen: null });
}

function fromStop(
  plan: WalkPlan,
  walk: Walk,
  phase: Extract<Phase, { kind: 'stopped' }>,
  event: WalkEvent,
): Walk | undefined {
  if (event.kind === 'go-on') {
    return phase.from === null ? complain(walk, 'cannot-go-on') : toPhase(walk, phase.from);
  }
  if (event.kind === 'break-off') return toPhase(walk, { kind: 'broken-off' });
  if (event.kind !== 'end-here') return undefined;
  if (!outcomesOpen(plan, walk).includes(event.outcome)) {
    return complain(walk, 'outcome-not-open', {
      seen: event.outcome,
      expected: outcomesOpen(plan, walk).join(', '),
    });
  }
  const ended = withDone(plan, walk, 'after', 'end-here', event.outcome, { why: phase.why });
  // Nothing has been touched: nothing is to be asked of how it was left.
  if (!walk.begun)
    return toPhase({ ...ended, result: resultOf(event.outcome, 'stop') }, afterUntouched(event.outcome));
  const result = resultOf(event.outcome, 'stop');
  if (phase.seen !== null) {
    const seen = { ...ended, at: { ...ended.at, positions: phase.seen } };
    return afterProcedure(plan, seen, result);
  }
  const axes = unsureAxes(plan, walk);
  return axes.length === 0
    ? afterProcedure(plan, ended, result)
    : { ...ended, result, phase: { kind: 'positions', purpose: 'left', axes, given: [] } };
}

function afterUntouched(outcome: 'failed' | 'deferred'): Phase {
  return { kind: outcome === 'deferred' ? 'reason' : 'cause' };
}

/** The positions that the step in hand changes: it may have been begun, or be done. On resuming, all of them. */
export function unsureAxes(plan: WalkPlan, walk: Walk): number[] {
  const { axes, steps } = plan.successors.graph;
  if (walk.resuming) return [...axes.keys()];
  if (walk.result !== null) return [];
  return (steps[walk.at.step]?.sets ?? [])
    .filter(({ axis, state }) => walk.at.positions[axis] !== state)
    .map(({ axis }) => axis);
}

/** What a visit that is ended at a stop can be: not deferred once the unit may have taken anything in. */
export function outcomesOpen(plan: WalkPlan, walk: Walk): readonly ('failed' | 'deferred')[] {
  const both = ['deferred', 'failed'] as const;
  if (!walk.begun) return both;
  if (walk.result !== null) return walk.result.outcome === 'deferred' ? both : ['failed'];
  return walk.mayHaveTaken || mayBeWriting(plan, walk) || (walk.at.seen && !knowsBusy(plan))
    ? ['failed']
    : both;
}
