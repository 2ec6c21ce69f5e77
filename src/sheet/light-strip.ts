// One light over time, drawn in characters: `#` lit, `.` dark, one cell after another. The strip shows the shape
// and says over how long it runs; what to count is said in words beside it. The length of a flash in a burst is
// not in the manifests, so that part is a sketch.

import type { LightShow, Sweep } from '../manifest/schema.ts';

export interface Strip {
  readonly cells: string;
  readonly spanSeconds: number;
}

/** A flash of a burst and the dark after it, as sketched. */
const burstFlashSeconds = 0.2;
const plainCellSeconds = 0.1;

interface Timeline {
  readonly periodSeconds: number;
  /** The shortest time that is lit or dark: a cell must not be longer, or the strip would lie. */
  readonly shortestSeconds: number;
  lit(atSeconds: number): boolean;
}

function timelineOf(show: LightShow): Timeline {
  switch (show.kind) {
    case 'off':
      return { periodSeconds: 1, shortestSeconds: 1, lit: () => false };
    case 'on':
      return { periodSeconds: 1, shortestSeconds: 1, lit: () => true };
    case 'flash': {
      const periodSeconds = 60 / show.perMinute;
      const half = periodSeconds / 2;
      return { periodSeconds, shortestSeconds: half, lit: (at) => at % periodSeconds < half };
    }
    case 'burst': {
      const flashes = show.burst * 2 * burstFlashSeconds;
      const periodSeconds = flashes - burstFlashSeconds + show.pauseSeconds;
      const lit = (at: number) => {
        const within = at % periodSeconds;
        return within < flashes - burstFlashSeconds && within % (2 * burstFlashSeconds) < burstFlashSeconds;
      };
      return { periodSeconds, shortestSeconds: Math.min(burstFlashSeconds, show.pauseSeconds), lit };
    }
  }
}

function draw(timeline: Timeline, cellCount: number): Strip {
  const twoPeriods = (2 * timeline.periodSeconds) / cellCount;
  const cellSeconds = Math.min(timeline.shortestSeconds, Math.max(plainCellSeconds, twoPeriods));
  let cells = '';
  for (let cell = 0; cell < cellCount; cell++) cells += timeline.lit((cell + 0.5) * cellSeconds) ? '#' : '.';
  return { cells, spanSeconds: cellCount * cellSeconds };
}

export function lightStrip(show: LightShow, cellCount: number): Strip {
  return draw(timelineOf(show), cellCount);
}

/** One light of a running light. */
export function sweepStrip(sweep: Sweep, light: string, cellCount: number): Strip {
  const { stepSeconds } = sweep;
  const periodSeconds = sweep.lights.length * stepSeconds;
  const lit = (at: number) => sweep.lights[Math.floor((at % periodSeconds) / stepSeconds)] === light;
  return draw({ periodSeconds, shortestSeconds: stepSeconds, lit }, cellCount);
}
