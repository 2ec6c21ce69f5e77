// One light over time as a drawing needs it: when it is lit, as parts of a span, and the span itself. A steady or
// slow light is drawn over ten seconds, which is how long a person counts; a fast one over less, so that every
// flash still shows; a slower one over its whole round. The drawing must be told by its shape alone.

import type { LightTimeline } from '../procedure/light-timeline.ts';

export interface LitBar {
  /** Parts of the span, from 0 to 1. */
  readonly from: number;
  readonly to: number;
  readonly colour: string;
}

export interface LightDrawing {
  readonly spanSeconds: number;
  readonly bars: readonly LitBar[];
}

const countedMs = 10_000;
/** More rounds than this run together on paper. */
const mostRounds = 40;
/** A burst that repeats within the span may have twenty flashes. */
const mostBars = 200;

export function lightDrawing({ roundMs, lit }: LightTimeline): LightDrawing {
  const spanMs = Math.max(roundMs, Math.min(countedMs, mostRounds * roundMs));
  const bars: LitBar[] = [];
  for (let beginMs = 0; beginMs < spanMs && lit.length > 0 && bars.length < mostBars; beginMs += roundMs) {
    for (const { fromMs, toMs, colour } of lit) {
      const from = (beginMs + fromMs) / spanMs;
      const to = Math.min(1, (beginMs + toMs) / spanMs);
      const last = bars[bars.length - 1];
      // A light that is on from one round into the next is one bar, not many.
      if (last !== undefined && last.colour === colour && from - last.to < 1e-9) {
        bars[bars.length - 1] = { ...last, to };
      } else if (from < 1) bars.push({ from, to, colour });
    }
  }
  return { spanSeconds: spanMs / 1000, bars };
}

/** Names that are worth a colour of their own; any other is drawn grey. The word always stands beside it. */
const colours: Readonly<Record<string, string>> = {
  red: '#d9342b',
  orange: '#f08c1a',
  amber: '#f5b01f',
  yellow: '#f7dc2e',
  green: '#3aa655',
  cyan: '#3fb8c4',
  blue: '#2f74d0',
  violet: '#8a57c9',
  purple: '#8a57c9',
  pink: '#e78ab8',
  white: '#ffffff',
};

export function inkColour(name: string): string {
  return Object.hasOwn(colours, name) ? (colours[name] as string) : '#b8b8b8';
}
