// What one step costs, at the least and at the most. Where a manifest gives no time, an assumed one is taken;
// the sheet prints `assumedTimes`, so that nobody takes an assumption for the maker's word. Walking to the
// unit, the frame around the procedure and an hour's reserve are not in here.

import type { Step } from '../manifest/schema.ts';
import type { ExitReason } from './step-graph.ts';

/** Seconds, where the step states none (`takes`). */
export const assumedSeconds = {
  /** A `do`. */
  do: 120,
  /** A `measure`: leads out and back, and each pair measured. */
  measure: 60,
  eachReading: 30,
  /** Once on a known source before, once after. */
  proveMeter: 60,
  /** A look at the lights: ten seconds of counting. */
  look: 10,
  read: 60,
  /** A `confirm`: each sign of service. */
  confirm: 60,
} as const;

/** The same in words, for the sheet: one line for each kind that occurs without a time of its own. */
export const assumedTimes = {
  do: '2 minutes for a step without a time',
  measure: '1 minute for a measurement, half a minute for each reading, 1 minute to prove the meter',
  watch: 'the whole time allowed for each watch of the lights, at the longest',
  read: '1 minute to read the version',
  confirm: '1 minute for each sign of service',
} as const;

export interface StepTime {
  readonly shortestSeconds: number;
  readonly longestSeconds: number;
  /** Which assumption stands in for a stated time. */
  readonly assumed: keyof typeof assumedTimes | undefined;
}

/** `signsOfService`: the lines of the product's `serves`. `reason` matters for a watch alone. */
export function stepTime(step: Step, signsOfService: number, reason?: ExitReason): StepTime {
  const nothing = { shortestSeconds: 0, longestSeconds: 0, assumed: undefined };
  // Not done: the walk goes straight on.
  if (step.kind === 'end' || reason === 'no-tries-left') return nothing;
  const stated = step.takesSeconds;
  const exactly = (seconds: number, assumed?: keyof typeof assumedTimes): StepTime => {
    if (stated !== undefined) return { shortestSeconds: stated, longestSeconds: stated, assumed: undefined };
    return { shortestSeconds: seconds, longestSeconds: seconds, assumed };
  };
  switch (step.kind) {
    case 'do':
      return exactly(assumedSeconds.do, 'do');
    case 'measure': {
      const readings = Math.max(1, step.measure.between.length) * assumedSeconds.eachReading;
      const proving = step.measure.proveMeter ? assumedSeconds.proveMeter : 0;
      return exactly(assumedSeconds.measure + readings + proving, 'measure');
    }
    case 'read':
      return exactly(assumedSeconds.read, 'read');
    case 'confirm':
      return exactly(assumedSeconds.confirm * Math.max(1, signsOfService), 'confirm');
    // What is stated cannot take less than the wait or the hold itself.
    case 'wait': {
      const seconds = Math.max(stated ?? 0, step.waitSeconds);
      return { shortestSeconds: seconds, longestSeconds: seconds, assumed: undefined };
    }
    case 'hold': {
      const { min, max } = step.forSeconds;
      const floor = stated ?? 0;
      return {
        shortestSeconds: Math.max(floor, min),
        longestSeconds: Math.max(floor, min, max),
        assumed: undefined,
      };
    }
    case 'watch': {
      const within = step.withinSeconds;
      const soonest = reason === 'late' ? within : Math.min(within, stated ?? assumedSeconds.look);
      return { shortestSeconds: soonest, longestSeconds: within, assumed: 'watch' };
    }
  }
}
