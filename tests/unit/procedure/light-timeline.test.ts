// Patterns in time, against timelines written out by hand and against flashes counted one by one.

import { describe, expect, test } from 'vitest';
import type { Light, Shows } from '../../../src/manifest/schema.ts';
import { colourAt, flashesIn, patternTimeline } from '../../../src/procedure/light-timeline.ts';

const lights: readonly Light[] = [
  { id: 'a', label: 'A', colours: ['white'] },
  { id: 'b', label: 'B', colours: ['green', 'red'] },
  { id: 'c', label: 'C', colours: ['yellow'] },
];

function timeline(shows: Shows, light: string) {
  return patternTimeline(shows, lights).lights.find((one) => one.light === light)!;
}

describe('written out', () => {
  test('steady, with the colour that it has', () => {
    const shows: Shows = { lights: { b: { kind: 'on', colour: 'red' }, a: { kind: 'on' } } };
    expect(timeline(shows, 'a').lit).toEqual([{ fromMs: 0, toMs: 1000, colour: 'white' }]);
    expect(timeline(shows, 'b').lit).toEqual([{ fromMs: 0, toMs: 1000, colour: 'red' }]);
    expect(timeline(shows, 'c').lit).toEqual([]);
  });

  test('a flash is lit for half of its round', () => {
    const flash = timeline({ lights: { a: { kind: 'flash', perMinute: 40 } } }, 'a');
    expect(flash).toMatchObject({ roundMs: 1500, lit: [{ fromMs: 0, toMs: 750, colour: 'white' }] });
    expect([0, 749, 750, 1499, 1500, 2250].map((ms) => colourAt(flash, ms))).toEqual([
      'white',
      'white',
      undefined,
      undefined,
      'white',
      undefined,
    ]);
  });

  test('a burst: its flashes, then dark for the whole pause', () => {
    const burst = timeline({ lights: { c: { kind: 'burst', burst: 3, pauseSeconds: 2 } } }, 'c');
    expect(burst.roundMs).toBe(3250);
    expect(burst.lit.map(({ fromMs, toMs }) => [fromMs, toMs])).toEqual([
      [0, 250],
      [500, 750],
      [1000, 1250],
    ]);
  });

  test('a run: one after the other, each as long', () => {
    const shows: Shows = {
      lights: { b: { kind: 'on', colour: 'green' } },
      sweep: { lights: ['a', 'c'], stepSeconds: 0.4 },
    };
    expect(timeline(shows, 'a')).toMatchObject({
      roundMs: 800,
      lit: [{ fromMs: 0, toMs: 400, colour: 'white' }],
    });
    expect(timeline(shows, 'c')).toMatchObject({
      roundMs: 800,
      lit: [{ fromMs: 400, toMs: 800, colour: 'yellow' }],
    });
    expect(timeline(shows, 'b').lit).toHaveLength(1);
  });

  test('a display text has no lights to draw', () => {
    expect(patternTimeline({ lights: {}, display: 'E-17' }, lights)).toEqual({ lights: [], display: 'E-17' });
  });
});

/** Counts by looking every few milliseconds, whatever the timeline says about itself. */
function lookAndCount(shows: Shows, light: string, startMs: number, seconds: number): number {
  const drawn = timeline(shows, light);
  let count = 0;
  let lit = false;
  for (let ms = 0; ms < seconds * 1000; ms += 2) {
    const now = colourAt(drawn, startMs + ms) !== undefined;
    if (now && !lit) count += 1;
    lit = now;
  }
  return count;
}

describe('flashes counted in a time', () => {
  test.each([
    [{ a: { kind: 'flash', perMinute: 60 } }, 10],
    [{ a: { kind: 'flash', perMinute: 100 } }, 10],
    [{ a: { kind: 'flash', perMinute: 7 } }, 10],
    [{ a: { kind: 'flash', perMinute: 233 } }, 5],
    [{ a: { kind: 'burst', burst: 3, pauseSeconds: 2 } }, 10],
    [{ a: { kind: 'burst', burst: 5, pauseSeconds: 0.5 } }, 7],
    [{ a: { kind: 'burst', burst: 1, pauseSeconds: 9 } }, 10],
  ] as const)(
    '%j in %i s: every phase lies between the fewest and the most, and both occur',
    (by, seconds) => {
      const shows: Shows = { lights: by };
      const { fewest, most } = flashesIn(timeline(shows, 'a'), seconds);
      const { roundMs } = timeline(shows, 'a');
      const seen = new Set<number>();
      for (let i = 0; i < 400; i += 1) seen.add(lookAndCount(shows, 'a', (i * roundMs) / 400, seconds));
      expect(Math.min(...seen)).toBeGreaterThanOrEqual(fewest);
      expect(Math.max(...seen)).toBeLessThanOrEqual(most);
      expect(Math.max(...seen)).toBeGreaterThanOrEqual(most - 1);
      expect(Math.min(...seen)).toBeLessThanOrEqual(fewest + 1);
    },
  );

  test('an unlit light has none', () => {
    expect(flashesIn(timeline({ lights: {} }, 'a'), 10)).toEqual({ fewest: 0, most: 0 });
  });
});
