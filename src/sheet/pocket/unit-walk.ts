// A walk as the phone keeps it: the events, each with its time, and nothing worked out from them. It is rebuilt from
// them whenever the page is opened again. A walk that broke off goes on in a new stretch, which begins by confirming
// unit, positions and dead test anew; within a stretch an answer tapped by mistake can be taken back, if it was only
// tapped: never one that began or ended a watch, since that time must not be begun anew.

import { beginWalk } from '../../procedure/walk/begin-walk.ts';
import { reduceWalk } from '../../procedure/walk/reduce-walk.ts';
import { resumeWalk } from '../../procedure/walk/resume-walk.ts';
import type { Complaint, DoneStep, Walk, WalkPlan } from '../../procedure/walk/walk.ts';
import type { WalkEvent, WalkEventKind } from '../../procedure/walk/walk-event.ts';
import { type Asked, questionOf } from '../../procedure/walk/walk-question.ts';

export interface Stretch {
  readonly fromMs: number;
  readonly events: readonly WalkEvent[];
}

export interface UnitWalk {
  readonly stretches: readonly Stretch[];
  readonly takenBack: number;
}

export interface WalkNow {
  readonly walk: Walk;
  /** Everything done, in all stretches. */
  readonly done: readonly DoneStep[];
}

export function newUnitWalk(atMs: number): UnitWalk {
  return { stretches: [{ fromMs: atMs, events: [] }], takenBack: 0 };
}

/** RangeError where the events are not of this procedure: what was kept is damaged. */
export function walkNow(plan: WalkPlan, { stretches }: UnitWalk): WalkNow {
  const done: DoneStep[] = [];
  let walk: Walk | undefined;
  for (const { fromMs, events } of stretches) {
    walk = walk === undefined ? beginWalk(plan, fromMs) : resumeWalk(plan, done, true, fromMs);
    walk = events.reduce((so, event) => reduceWalk(plan, so, event), walk);
    done.push(...walk.done);
  }
  if (walk === undefined) throw new RangeError('a walk without a beginning');
  return { walk, done };
}

export interface Answered {
  readonly kept: UnitWalk;
  /** Why the answer was not taken, or has to be given once more. */
  readonly complaint: Complaint | null;
}

/** An answer that was refused for its form is not kept: the same question stands again. */
export function withAnswer(plan: WalkPlan, kept: UnitWalk, event: WalkEvent): Answered {
  const { complaint } = reduceWalk(plan, walkNow(plan, kept).walk, event);
  if (complaint !== null && !complaint.heard) return { kept, complaint };
  return { kept: { ...kept, stretches: withEvents(kept, (events) => [...events, event]) }, complaint };
}

/** It broke off: cautions, unit, positions and dead test come first, then it goes on where it was. */
export function withNewStretch(kept: UnitWalk, atMs: number): UnitWalk {
  return { ...kept, stretches: [...kept.stretches, { fromMs: atMs, events: [] }] };
}

function withEvents(
  { stretches }: UnitWalk,
  change: (events: readonly WalkEvent[]) => readonly WalkEvent[],
): Stretch[] {
  return stretches.map((stretch, i) =>
    i === stretches.length - 1 ? { ...stretch, events: change(stretch.events) } : stretch,
  );
}

const takenBackKinds: ReadonlySet<WalkEventKind> = new Set([
  'card',
  'plate',
  'version-before',
  'lead-says',
  'settings',
  'starts',
  'done',
  'cannot',
  'meter',
  'reading',
  'sign',
  'restored',
  'position',
  'left',
  'cause',
  'reason',
  'case',
  'told',
]);
/** What is asked while a time runs: taking back into or out of it would begin the time anew. */
const timedKinds: ReadonlySet<Asked['kind']> = new Set(['watch', 'plate-time']);

export function mayTakeBack(plan: WalkPlan, kept: UnitWalk): boolean {
  const last = kept.stretches.at(-1)?.events.at(-1);
  if (last === undefined || !takenBackKinds.has(last.kind)) return false;
  const now = questionOf(plan, walkNow(plan, kept).walk);
  const before = questionOf(plan, walkNow(plan, withoutLast(kept)).walk);
  // What may have set the unit writing stays said: the page must never believe less than was done.
  if (now.mayBeWriting && !before.mayBeWriting) return false;
  return !timedKinds.has(now.asked.kind) && !timedKinds.has(before.asked.kind);
}

function withoutLast(kept: UnitWalk): UnitWalk {
  return { ...kept, stretches: withEvents(kept, (events) => events.slice(0, -1)) };
}

export function withLastTakenBack(kept: UnitWalk): UnitWalk {
  return { ...withoutLast(kept), takenBack: kept.takenBack + 1 };
}
