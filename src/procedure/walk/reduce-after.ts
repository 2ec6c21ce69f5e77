// The frame after the procedure: settings restored, back in service, how the unit was left, why it failed or was
// deferred, the customer told. Where a sign of service is not seen, an update is not one: it has failed.

import { keptText } from './kept-text.ts';
import { serviceOrLeft } from './move-walk.ts';
import { complain, toPhase, type Walk, type WalkPlan, type WalkResult, withDone } from './walk.ts';
import type { WalkEvent } from './walk-event.ts';

type After = Extract<
  Walk['phase'],
  { kind: 'restore' | 'service' | 'left' | 'cause' | 'reason' | 'case' | 'told' }
>;

/** undefined: this event is no answer here. */
export function reduceAfter(plan: WalkPlan, walk: Walk, phase: After, event: WalkEvent): Walk | undefined {
  const { result } = walk;
  if (result === null) throw new RangeError('the frame after the procedure, without a result');
  const say = (changes: Partial<WalkResult>): Walk => ({ ...walk, result: { ...result, ...changes } });
  if (phase.kind === 'restore' && event.kind === 'restored') {
    const setting = plan.release.resets[phase.index]!;
    const noted = withDone(plan, walk, 'after', 'restore', event.restored ? 'restored' : 'not-restored', {
      setting,
    });
    const notRestored = event.restored ? noted.notes.notRestored : [...noted.notes.notRestored, setting];
    const index = phase.index + 1;
    const next =
      index < plan.release.resets.length ? { kind: 'restore' as const, index } : serviceOrLeft(plan);
    return toPhase({ ...noted, notes: { ...noted.notes, notRestored } }, next);
  }
  if (phase.kind === 'service' && event.kind === 'sign') {
    const sign = plan.product.serves[phase.index]!;
    if (!event.seen) {
      const noted = withDone(plan, walk, 'after', 'service', 'not-seen', { sign });
      return { ...noted, result: { ...result, outcome: 'failed', by: 'service' }, phase: { kind: 'left' } };
    }
    const index = phase.index + 1;
    if (index < plan.product.serves.length) return toPhase(walk, { kind: 'service', index });
    return toPhase(withDone(plan, walk, 'after', 'service', 'seen'), { kind: 'left' });
  }
  if (phase.kind === 'left' && event.kind === 'left') {
    const next = { updated: 'told', failed: 'cause', deferred: 'reason', 'already-current': 'told' } as const;
    return toPhase(say({ left: event.left }), { kind: next[result.outcome] });
  }
  if (phase.kind === 'cause' && event.kind === 'cause')
    return toPhase(say({ cause: event.cause }), { kind: 'case' });
  if (phase.kind === 'case' && event.kind === 'case') {
    const caseNumber = event.number === null ? null : keptText(event.number);
    return caseNumber === undefined
      ? complain(walk, 'text-form')
      : toPhase(say({ caseNumber }), { kind: 'told' });
  }
  if (phase.kind === 'reason' && event.kind === 'reason') {
    return toPhase(say({ reason: event.reason }), { kind: 'told' });
  }
  if (phase.kind === 'told' && event.kind === 'told') {
    const told = event.name === null ? null : keptText(event.name);
    return told === undefined ? complain(walk, 'text-form') : toPhase(say({ told }), { kind: 'ended' });
  }
  return undefined;
}
