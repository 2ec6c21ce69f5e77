// The step of the procedure in hand, by its kind. Timers count from the step's arrival: a wait may not be over
// too early, a watch's time is never begun anew by looking again, and when it is up only `late` is left.

import type { ReadStep, WaitStep, WatchStep } from '../../manifest/schema.ts';
import { isVersion, sameVersion } from '../../manifest/versions.ts';
import { measureOn } from './measure-progress.ts';
import { leaveStep } from './move-walk.ts';
import { parseReading } from './reading.ts';
import { complain, type StepProgress, toPhase, type Walk, type WalkPlan } from './walk.ts';
import type { WalkEvent } from './walk-event.ts';

const longestPlateMinutes = 48 * 60;

/** undefined: this event is no answer to this step. */
export function reduceStep(
  plan: WalkPlan,
  walk: Walk,
  progress: StepProgress,
  event: WalkEvent,
): Walk | undefined {
  const step = plan.product.procedure[walk.at.step];
  if (step === undefined || step.kind === 'end') return undefined;
  if (event.kind === 'cannot') {
    const from = walk.phase;
    return step.kind === 'do'
      ? toPhase(walk, { kind: 'stopped', why: 'cannot', from, seen: null })
      : undefined;
  }
  switch (step.kind) {
    case 'do':
    case 'hold':
      return event.kind === 'done' ? leaveStep(plan, walk, 'done') : undefined;
    case 'wait':
      return progress.kind === 'wait' ? waitOn(plan, walk, step, progress.plate, event) : undefined;
    case 'measure': {
      if (progress.kind !== 'measure') return undefined;
      const measured = measureOn(step.measure, progress, event);
      if (measured === undefined) return undefined;
      if (measured.kind === 'refused') return complain(walk, measured.complaint.code, measured.complaint);
      if (measured.kind === 'on') {
        const on = toPhase(walk, { kind: 'step', progress: { kind: 'measure', ...measured.progress } });
        return measured.complaint === null ? on : complain(on, measured.complaint.code, { heard: true });
      }
      const reason = measured.passes ? 'passes' : 'does-not-pass';
      return leaveStep(plan, walk, reason, { readings: measured.readings, unit: step.measure.in });
    }
    case 'watch':
      return watchOn(plan, walk, step, event);
    case 'read':
      return progress.kind === 'read' ? readOn(plan, walk, step, progress.first, event) : undefined;
    case 'confirm': {
      if (progress.kind !== 'confirm' || event.kind !== 'sign') return undefined;
      const { serves } = plan.product;
      if (!event.seen) {
        const sign = serves[progress.index];
        return leaveStep(plan, walk, 'does-not-pass', sign === undefined ? {} : { notSeen: sign });
      }
      const index = progress.index + 1;
      if (index < serves.length) return toPhase(walk, { kind: 'step', progress: { kind: 'confirm', index } });
      return leaveStep(plan, walk, 'passes');
    }
  }
}

/** When a wait is over; counted from its arrival, by the longer of the sheet's time and the plate's. */
export function waitOverMs(walk: Walk, step: WaitStep, plate: 'not-asked' | 'none' | number): number {
  return walk.arrivedMs + Math.max(step.waitSeconds, typeof plate === 'number' ? plate : 0) * 1000;
}

export function watchOverMs(walk: Walk, step: WatchStep): number {
  return walk.arrivedMs + step.withinSeconds * 1000;
}

function waitOn(
  plan: WalkPlan,
  walk: Walk,
  step: WaitStep,
  plate: 'not-asked' | 'none' | number,
  event: WalkEvent,
): Walk | undefined {
  if (plate === 'not-asked') {
    if (event.kind !== 'plate-time') return undefined;
    const seconds = plateSeconds(event.minutes);
    if (seconds === undefined) return complain(walk, 'plate-time-form', { seen: event.minutes ?? '' });
    return toPhase(walk, { kind: 'step', progress: { kind: 'wait', plate: seconds } });
  }
  if (event.kind !== 'done') return undefined;
  const overMs = waitOverMs(walk, step, plate);
  if (event.atMs < overMs) return complain(walk, 'too-early', { fromMs: overMs });
  const waitedSeconds = Math.round((event.atMs - walk.arrivedMs) / 1000);
  const facts = { waitedSeconds, ...(step.orPlate && { plateSeconds: plate === 'none' ? null : plate }) };
  return leaveStep(plan, walk, 'done', facts);
}

function plateSeconds(minutes: string | null): 'none' | number | undefined {
  if (minutes === null) return 'none';
  const reading = parseReading(minutes);
  if (reading.kind !== 'value' || reading.value < 0 || reading.value > longestPlateMinutes) return undefined;
  return reading.value * 60;
}

function watchOn(plan: WalkPlan, walk: Walk, step: WatchStep, event: WalkEvent): Walk | undefined {
  const overMs = watchOverMs(walk, step);
  if (event.kind === 'time-up') {
    if (event.atMs < overMs) return complain(walk, 'not-yet-late', { fromMs: overMs });
    return leaveStep(plan, walk, 'late');
  }
  if (event.kind !== 'lights' && event.kind !== 'unlisted') return undefined;
  // Lights seen after the time are too late, whatever they say.
  if (event.atMs > overMs) return complain(walk, 'time-is-up', { fromMs: overMs });
  if (event.kind === 'unlisted') {
    return step.unlisted === step.id ? walk : leaveStep(plan, walk, 'unlisted');
  }
  const { pattern } = event;
  if (!Object.hasOwn(step.watch, pattern)) {
    return complain(walk, 'pattern-unlisted', {
      seen: pattern,
      expected: Object.keys(step.watch).join(', '),
    });
  }
  const noted: Walk = { ...walk, notes: { ...walk.notes, lights: pattern } };
  if (step.watch[pattern] === step.id) return noted;
  return leaveStep(plan, noted, 'lights', {}, pattern);
}

/** A version that is not the release's has to be read and typed twice; what it should be is not said. */
function readOn(
  plan: WalkPlan,
  walk: Walk,
  step: ReadStep,
  first: string | null,
  event: WalkEvent,
): Walk | undefined {
  if (event.kind === 'unreadable') return leaveStep(plan, walk, 'unreadable');
  if (event.kind !== 'version' || step.kind !== 'read') return undefined;
  const version = event.version.trim();
  const scheme = plan.product.versions;
  if (!isVersion(scheme, version)) return complain(walk, 'version-form', { seen: version });
  const isRelease = sameVersion(scheme, version, plan.release.version);
  if (!isRelease && (first === null || !sameVersion(scheme, first, version))) {
    const again = toPhase(walk, { kind: 'step', progress: { kind: 'read', first: version } });
    return complain(again, 'version-again', { heard: true, seen: version });
  }
  const noted: Walk = { ...walk, notes: { ...walk.notes, versionRead: version } };
  return leaveStep(plan, noted, isRelease ? 'release-version' : 'other-version', { version });
}
