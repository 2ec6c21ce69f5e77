// One measurement, answer by answer: the meter shown good before, each reading, the meter shown good after, and
// a last look at the readings. A meter that does not show good makes all readings worth nothing. Passes when
// every reading lies within the limits, sign included.

import type { MeasureStep } from '../../manifest/schema.ts';
import { parseReading } from './reading.ts';
import type { Complaint, MeasureProgress } from './walk.ts';
import type { WalkEvent } from './walk-event.ts';

export type Measured =
  | {
      readonly kind: 'on';
      readonly progress: MeasureProgress;
      readonly complaint: Omit<Complaint, 'heard'> | null;
    }
  | { readonly kind: 'refused'; readonly complaint: Omit<Complaint, 'heard'> }
  | { readonly kind: 'over'; readonly passes: boolean; readonly readings: readonly number[] };

type Measure = MeasureStep['measure'];

export function beginMeasure({ proveMeter }: Measure): MeasureProgress {
  return { stage: proveMeter ? 'meter-before' : 'reading', readings: [] };
}

export function readingCount({ between }: Measure): number {
  return Math.max(1, between.length);
}

export function isWithin({ from, to }: Measure, value: number): boolean {
  return value >= from && value <= to;
}

/** undefined: this event is no answer to where the measurement stands. */
export function measureOn(
  measure: Measure,
  { stage, readings }: MeasureProgress,
  event: WalkEvent,
): Measured | undefined {
  const on = (progress: MeasureProgress): Measured => ({ kind: 'on', progress, complaint: null });
  const anew = (code: 'meter-bad' | 'readings-again'): Measured => ({
    kind: 'on',
    progress: beginMeasure(measure),
    complaint: { code },
  });
  if ((stage === 'meter-before' || stage === 'meter-after') && event.kind === 'meter') {
    if (!event.good) return anew('meter-bad');
    return on({ stage: stage === 'meter-before' ? 'reading' : 'review', readings });
  }
  if (stage === 'reading' && event.kind === 'reading') {
    const reading = parseReading(event.text);
    if (reading.kind !== 'value') {
      const code = reading.kind === 'ambiguous' ? 'reading-ambiguous' : 'reading-form';
      return { kind: 'refused', complaint: { code, seen: event.text } };
    }
    const more = [...readings, reading.value];
    if (more.length < readingCount(measure)) return on({ stage, readings: more });
    return on({ stage: measure.proveMeter ? 'meter-after' : 'review', readings: more });
  }
  if (stage === 'review' && event.kind === 'readings') {
    if (!event.taken) return anew('readings-again');
    return { kind: 'over', passes: readings.every((value) => isWithin(measure, value)), readings };
  }
  return undefined;
}
