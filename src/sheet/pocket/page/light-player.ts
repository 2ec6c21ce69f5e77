// Plays one pattern at a time on the lamps of one place of the page. Never two, since two together could flash more
// often than either. The playback is slowed to three flashes a second at most; here each change only comes later than
// planned, never sooner after the one before it was drawn: a slow phone draws late, and must not catch up. Where the
// phone asks for little movement nothing plays.

import { patternTimeline } from '../../../procedure/light-timeline.ts';
import type { PocketData } from '../pocket-data.ts';
import { screenPlayback } from '../screen-playback.ts';

interface Playing {
  readonly place: Element;
  stop(): void;
}

let playing: Playing | undefined;

export function wantsStillness(): boolean {
  return window.matchMedia('(prefers-reduced-motion: reduce)').matches;
}

export function stopPlaying(): void {
  playing?.stop();
  playing = undefined;
}

export function isPlaying(place: Element): boolean {
  return playing?.place === place;
}

/** As long as anybody looks: an hour. */
const lengthMs = 3_600_000;

/** `over`: called when it stops, for whatever reason. */
export function playPattern(
  place: Element,
  pattern: string,
  { product }: PocketData,
  over: () => void,
): void {
  stopPlaying();
  const shows = product.patterns.find(({ id }) => id === pattern)?.shows;
  if (shows === undefined || wantsStillness()) return;
  const timeline = patternTimeline(shows, product.lights);
  const lamps = timeline.lights.map(({ light }) =>
    place.querySelector<HTMLElement>(`.lamp[data-light="${CSS.escape(light)}"]`),
  );
  const before = lamps.map((lamp) => lamp?.dataset.colour);
  const paint = (colours: readonly (string | undefined)[]) => {
    for (const [i, lamp] of lamps.entries()) {
      const colour = colours[i];
      if (colour === undefined) lamp?.removeAttribute('data-colour');
      else lamp?.setAttribute('data-colour', colour);
    }
  };
  const frames = screenPlayback(timeline).frames(lengthMs);
  let shownMs = 0;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let drawing = 0;
  const next = (): void => {
    const frame = frames.next();
    if (frame.done === true) {
      stopPlaying();
      return;
    }
    const draw = () => {
      shownMs = frame.value.atMs;
      paint(frame.value.lit);
      next();
    };
    timer = setTimeout(() => {
      drawing = requestAnimationFrame(draw);
    }, frame.value.atMs - shownMs);
  };
  place.classList.add('playing');
  playing = {
    place,
    stop() {
      clearTimeout(timer);
      cancelAnimationFrame(drawing);
      paint(before);
      place.classList.remove('playing');
      over();
    },
  };
  next();
}
