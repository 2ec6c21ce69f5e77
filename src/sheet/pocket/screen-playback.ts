// A pattern as the pocket page plays it. The playback holds each light to three flashes a second; a page in somebody's
// hand holds all lights of a pattern together to that, so that a running light is no flicker either: as long as it
// would begin to be lit more than three times within one second, somewhere, it is slowed as a whole.

import { type Playback, type PlaybackFrame, playbackOf } from '../../procedure/light-playback.ts';
import type { PatternTimeline } from '../../procedure/light-timeline.ts';

const mostInWindow = 3;
const windowMs = 1000;
/** A screen that draws late once must not bring four flashes together: a tenth of a second is kept free. */
const margin = 1.1;
const lookedAtMs = 60_000;
const longestLookMs = 600_000;

export function screenPlayback(timeline: PatternTimeline): Playback {
  const plain = playbackOf(timeline);
  const slower = slowdownOf(plain);
  return {
    slowedBy: plain.slowedBy * slower,
    roundMs: plain.roundMs * slower,
    frames: (lengthMs) => heldBack(plain, slower, lengthMs),
  };
}

/**
 * Lights with rounds of their own may come together later than was looked at: then the beginning that would be the
 * fourth within a second waits, and everything after it.
 */
function* heldBack(plain: Playback, slower: number, lengthMs: number): Generator<PlaybackFrame> {
  const recent: number[] = [];
  let waitedMs = 0;
  let last: PlaybackFrame['lit'] | undefined;
  for (const frame of plain.frames(lengthMs / slower)) {
    let atMs = frame.atMs * slower + waitedMs;
    if (begins(frame.lit, last)) {
      const earliestMs = recent.length < mostInWindow ? atMs : (recent[0] as number) + windowMs * margin;
      if (earliestMs > atMs) {
        waitedMs += earliestMs - atMs;
        atMs = earliestMs;
      }
      recent.push(atMs);
      if (recent.length > mostInWindow) recent.shift();
    }
    if (atMs >= lengthMs) return;
    yield { atMs, lit: frame.lit };
    last = frame.lit;
  }
}

/** Some light begins to be lit, or changes its colour. */
function begins(lit: PlaybackFrame['lit'], before: PlaybackFrame['lit'] | undefined): boolean {
  return before !== undefined && lit.some((colour, i) => colour !== undefined && colour !== before[i]);
}

/** From one beginning to the third after it a whole second has to pass. */
function slowdownOf(plain: Playback): number {
  const beginnings: number[] = [];
  let last: PlaybackFrame['lit'] | undefined;
  const lengthMs = Math.min(longestLookMs, Math.max(lookedAtMs, 4 * plain.roundMs));
  for (const { atMs, lit } of plain.frames(lengthMs)) {
    if (begins(lit, last)) beginnings.push(atMs);
    last = lit;
  }
  let shortest = windowMs;
  for (let i = mostInWindow; i < beginnings.length; i++) {
    shortest = Math.min(shortest, (beginnings[i] as number) - (beginnings[i - mostInWindow] as number));
  }
  return shortest >= windowMs ? 1 : (windowMs / shortest) * margin;
}
