// A pattern as it passes in time: when each light is lit, and in which colour, over one round that repeats. For
// drawing, for playing and for counting flashes. The times within a burst are ours, since a manifest gives none;
// nothing here is slowed for a screen: whoever plays it must see to that.

import type { Light, LightShow, Shows } from '../manifest/schema.ts';

/** A burst's flash, and the dark between two of one burst. */
export const burstFlashMs = 250;

export interface LitSpan {
  readonly fromMs: number;
  readonly toMs: number;
  readonly colour: string;
}

export interface LightTimeline {
  readonly light: string;
  readonly label: string;
  /** One round; the lights of a pattern need not share it. */
  readonly roundMs: number;
  /** In order, without overlap, within one round. Empty: off. */
  readonly lit: readonly LitSpan[];
}

export interface PatternTimeline {
  /** Every light of the product in its order; empty where a display text stands in place of lights. */
  readonly lights: readonly LightTimeline[];
  readonly display: string | undefined;
}

export function burstRoundMs(burst: number, pauseSeconds: number): number {
  return (2 * burst - 1) * burstFlashMs + pauseSeconds * 1000;
}

export function patternTimeline(shows: Shows, lights: readonly Light[]): PatternTimeline {
  if (shows.display !== undefined) return { lights: [], display: shows.display };
  return {
    display: undefined,
    lights: lights.map((light) => {
      const { sweep } = shows;
      const own = { light: light.id, label: light.label };
      const [colour = ''] = light.colours;
      if (sweep?.lights.includes(light.id)) {
        const stepMs = sweep.stepSeconds * 1000;
        const lit = sweep.lights.flatMap((id, i): LitSpan[] =>
          id === light.id ? [{ fromMs: i * stepMs, toMs: (i + 1) * stepMs, colour }] : [],
        );
        return { ...own, roundMs: stepMs * sweep.lights.length, lit };
      }
      return { ...own, ...lightRound(shows.lights[light.id] ?? { kind: 'off' }, colour) };
    }),
  };
}

function lightRound(show: LightShow, plainColour: string): Pick<LightTimeline, 'roundMs' | 'lit'> {
  const colour = ('colour' in show ? show.colour : undefined) ?? plainColour;
  switch (show.kind) {
    case 'off':
      return { roundMs: 1000, lit: [] };
    case 'on':
      return { roundMs: 1000, lit: [{ fromMs: 0, toMs: 1000, colour }] };
    case 'flash': {
      const roundMs = 60_000 / show.perMinute;
      return { roundMs, lit: [{ fromMs: 0, toMs: roundMs / 2, colour }] };
    }
    case 'burst':
      return {
        roundMs: burstRoundMs(show.burst, show.pauseSeconds),
        lit: Array.from({ length: show.burst }, (_, i) => {
          return { fromMs: 2 * i * burstFlashMs, toMs: (2 * i + 1) * burstFlashMs, colour };
        }),
      };
  }
}

/** The colour in which the light is lit at a time from the beginning; undefined: dark. */
export function colourAt(timeline: LightTimeline, atMs: number): string | undefined {
  const inRound = atMs % timeline.roundMs;
  return timeline.lit.find(({ fromMs, toMs }) => inRound >= fromMs && inRound < toMs)?.colour;
}

/** The fewest and the most flashes that somebody who counts without a mistake can count, wherever he begins. */
export function flashesIn(timeline: LightTimeline, seconds: number): { fewest: number; most: number } {
  const { roundMs, lit } = timeline;
  if (lit.length === 0) return { fewest: 0, most: 0 };
  const lengthMs = seconds * 1000;
  const counts = new Set<number>();
  // The count changes only where a flash begins or ends at one edge of the time: try there, and just beside.
  const edges = lit.flatMap(({ fromMs, toMs }) => [fromMs, toMs]);
  for (const edge of edges) {
    for (const start of [edge, edge - lengthMs]) {
      for (const beside of [-0.5, 0, 0.5]) {
        const from = (((start + beside) % roundMs) + roundMs) % roundMs;
        counts.add(countFrom(timeline, from, lengthMs));
      }
    }
  }
  return { fewest: Math.min(...counts), most: Math.max(...counts) };
}

function countFrom({ roundMs, lit }: LightTimeline, fromMs: number, lengthMs: number): number {
  const toMs = fromMs + lengthMs;
  let count = 0;
  for (const span of lit) {
    // Rounds k for which the flash, at k * roundMs later, is at least partly within.
    const first = Math.floor((fromMs - span.toMs) / roundMs) + 1;
    const last = Math.ceil((toMs - span.fromMs) / roundMs) - 1;
    count += Math.max(0, last - first + 1);
  }
  return count;
}
