// People who look at lights, made up: they begin at any moment, count by eye, miscount, and overlook a light.
// Flashes come from the pattern as it is written, not from the code that is being judged.

import type { Light, LightShow, Pattern } from '../../../src/manifest/schema.ts';

export interface Mistakes {
  /** At one light that was counted, off by so many flashes in ten seconds, up or down. */
  readonly miscount: number;
  /** One lit light: not spoken of, or said to be off. */
  readonly overlooks: 'none' | 'unnamed' | 'off';
}

/** Flashes of which any part falls into the time, counted one after the other. */
function count(show: LightShow, startMs: number, seconds: number): number {
  let flashes = 0;
  const endMs = startMs + seconds * 1000;
  const see = (fromMs: number, toMs: number): void => {
    if (toMs > startMs && fromMs < endMs) flashes += 1;
  };
  if (show.kind === 'flash') {
    const each = 60_000 / show.perMinute;
    for (let ms = 0; ms < endMs; ms += each) see(ms, ms + each / 2);
  }
  if (show.kind === 'burst') {
    for (let ms = 0; ms < endMs; ) {
      for (let i = 0; i < show.burst; i += 1) see(ms + 500 * i, ms + 500 * i + 250);
      ms += 500 * show.burst - 250 + show.pauseSeconds * 1000;
    }
  }
  return flashes;
}

/** What this person types of the pattern. */
export function observe(
  pattern: Pattern,
  lights: readonly Light[],
  random: () => number,
  mistakes: Mistakes,
): string {
  const below = (limit: number): number => Math.floor(random() * limit);
  const { shows } = pattern;
  if (shows.display !== undefined) return `display=${shows.display}`;
  const run = shows.sweep?.lights ?? [];
  const lit = lights.filter(({ id }) => !run.includes(id) && (shows.lights[id]?.kind ?? 'off') !== 'off');
  const overlooked = mistakes.overlooks === 'none' ? undefined : lit[below(lit.length)];
  const flashing = lit.filter(({ id }) => shows.lights[id]?.kind !== 'on' && id !== overlooked?.id);
  const miscounted = flashing[below(flashing.length)];
  const parts = lights.flatMap(({ id, colours }): string[] => {
    if (run.includes(id)) return [];
    if (id === overlooked?.id) return mistakes.overlooks === 'off' ? [`${id}=off`] : [];
    const show = shows.lights[id] ?? { kind: 'off' };
    if (show.kind === 'off') return [`${id}=off`];
    const colour = colours.length > 1 && show.colour !== undefined ? `${show.colour}:` : '';
    // Quicker than anybody sees.
    if (show.kind === 'on' || (show.kind === 'flash' && show.perMinute > 240)) return [`${id}=${colour}on`];
    const counted = count(show, 200_000 + below(100_000), 10);
    const wrong = id === miscounted?.id ? (below(2) === 0 ? -1 : 1) * mistakes.miscount : 0;
    const told = Math.max(0, counted + wrong);
    return [told === 0 ? `${id}=off` : `${id}=${colour}${told}in10s`];
  });
  if (run.length > 0) {
    // A run is begun anywhere.
    const from = below(run.length);
    parts.push(`sweep=${[...run.slice(from), ...run.slice(0, from)].join('+')}`);
  }
  return parts.length === 0 ? 'off' : parts.join(',');
}
