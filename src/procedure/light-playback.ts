// A pattern to be played on a screen of our own: when it changes, and what is lit then. Nothing on it flashes more
// than three times a second (WCAG 2.3.1): two changes, of whichever lights, lie at least a sixth of a second and a
// little more apart, and a pattern that is quicker is slowed as a whole until every change can be seen.

import { colourAt, type LightTimeline, type PatternTimeline } from './light-timeline.ts';

/** Less than six changes a second are less than three flashes. */
export const leastBetweenChangesMs = 170;

export interface PlaybackFrame {
  /** From the beginning. */
  readonly atMs: number;
  /** The colour of each light in the timeline's order; undefined: dark. */
  readonly lit: readonly (string | undefined)[];
}

export interface Playback {
  /** 1: as the unit shows it; 2: half as quick. */
  readonly slowedBy: number;
  /** As played: until each light was seen through once. */
  readonly roundMs: number;
  /** The first at 0, then one for each change before `lengthMs`. */
  frames(lengthMs: number): Generator<PlaybackFrame>;
}

export function playbackOf({ lights }: PatternTimeline): Playback {
  const shortestMs = Math.min(...lights.map(shortestStateMs));
  // A little more, so that a change which waits for its turn never meets the end of its own state.
  const slowedBy = Math.max(1, (leastBetweenChangesMs + 1) / shortestMs);
  return {
    slowedBy,
    roundMs: slowedBy * Math.max(0, ...lights.map(({ roundMs }) => roundMs)),
    frames: (lengthMs) => framesOf(lights, slowedBy, lengthMs),
  };
}

function* framesOf(
  lights: readonly LightTimeline[],
  slowedBy: number,
  lengthMs: number,
): Generator<PlaybackFrame> {
  let last: readonly (string | undefined)[] | undefined;
  for (let atMs = 0; atMs < lengthMs; ) {
    // Half a millisecond on: at the edge itself a rounded time may still lie before it.
    const lit = lights.map((light) => colourAt(light, (atMs + 0.5) / slowedBy));
    const changed = last === undefined || lit.some((colour, i) => colour !== last?.[i]);
    if (changed) yield { atMs, lit };
    last = lit;
    const next = Math.min(...lights.map((light) => nextEdgeMs(light, atMs / slowedBy))) * slowedBy;
    atMs = changed ? Math.max(next, atMs + leastBetweenChangesMs) : next;
  }
}

/** When the light next begins or ends to be lit, in its own time; it may go on in the same colour. */
function nextEdgeMs({ roundMs, lit }: LightTimeline, atMs: number): number {
  let next = Number.POSITIVE_INFINITY;
  for (const edge of lit.flatMap(({ fromMs, toMs }) => [fromMs, toMs])) {
    const rounds = Math.floor((atMs + 0.01 - edge) / roundMs) + 1;
    next = Math.min(next, edge + rounds * roundMs);
  }
  return next;
}

/** The shortest time that it is dark, or lit in one colour; infinite for a light that never changes. */
function shortestStateMs({ roundMs, lit }: LightTimeline): number {
  const states: { fromMs: number; colour: string | undefined }[] = [];
  let endMs = 0;
  const add = (fromMs: number, colour: string | undefined) => {
    if (states.at(-1)?.colour !== colour || states.length === 0) states.push({ fromMs, colour });
  };
  for (const span of lit) {
    if (span.fromMs > endMs) add(endMs, undefined);
    add(span.fromMs, span.colour);
    endMs = span.toMs;
  }
  if (endMs < roundMs) add(endMs, undefined);
  // What the round ends with may go on at its beginning.
  if (states.length > 1 && states[0]?.colour === states.at(-1)?.colour) states.shift();
  if (states.length < 2) return Number.POSITIVE_INFINITY;
  return Math.min(
    ...states.map(({ fromMs }, i) => {
      const next = states[i + 1]?.fromMs ?? states[0]!.fromMs + roundMs;
      return next - fromMs;
    }),
  );
}
