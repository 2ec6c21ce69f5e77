// The made-up evening and day of the demo: a clock that stands where the story puts it and ticks a second with
// each look, in the laptop's own zone.

import type { Clock } from '../../ports/clock.ts';

export interface StoryClock extends Clock {
  /** Local time of the story: day `2026-11-17`, hours since midnight. */
  setTo(day: string, hours: number): void;
}

const hourMs = 3_600_000;

export function storyClock(system: Clock): StoryClock {
  let atMs = 0;
  return {
    now() {
      atMs += 1000;
      return atMs;
    },
    offsetMinutes: system.offsetMinutes,
    startOfLocalDay: system.startOfLocalDay,
    setTo(day, hours) {
      atMs = system.startOfLocalDay(day) + hours * hourMs;
    },
  };
}
