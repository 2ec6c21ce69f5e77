// A pattern as it is played: nothing flashes more than three times a second, whatever the pattern; nothing that
// the unit shows is left out; what is slow enough runs at its own speed.

import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Light, LightShow, Shows } from '../../../src/manifest/schema.ts';
import { type Playback, playbackOf } from '../../../src/procedure/light-playback.ts';
import { colourAt, patternTimeline } from '../../../src/procedure/light-timeline.ts';
import { checkSeeded } from '../../support/seeded.ts';

const file = 'tests/unit/procedure/light-playback.test.ts';
const lights: Light[] = ['run', 'link', 'fault', 'bus'].map((id) => ({
  id,
  label: id.toUpperCase(),
  colours: ['green'],
}));
const play = (shows: Shows): Playback => playbackOf(patternTimeline(shows, lights));
const flash = (perMinute: number): LightShow => ({ kind: 'flash', perMinute });

/** Judge of its own: the most times that any light, or the screen as a whole, goes on within one second. */
function mostFlashes(playback: Pick<Playback, 'frames'>, lengthMs: number): number {
  const frames = [...playback.frames(lengthMs)];
  const onsets: number[][] = lights.map(() => []);
  const changes: number[] = [];
  frames.forEach(({ atMs, lit }, i) => {
    const before = frames[i - 1]?.lit;
    if (i > 0) changes.push(atMs);
    lit.forEach((colour, l) => {
      if (colour !== undefined && before !== undefined && before[l] === undefined) onsets[l]!.push(atMs);
    });
  });
  const within = (times: readonly number[]) =>
    Math.max(0, ...times.map((from) => times.filter((at) => at >= from && at < from + 1000).length));
  // Two changes make one flash.
  return Math.max(...onsets.map(within), within(changes) / 2);
}

test('the judge sees a flash too many', () => {
  const quick = (lit: boolean, atMs: number) => ({ atMs, lit: [lit ? 'green' : undefined] });
  const frames = function* () {
    for (let i = 0; i < 20; i += 1) yield quick(i % 2 === 1, i * 120);
  };
  expect(mostFlashes({ frames }, 5000)).toBeGreaterThan(3);
});

const show = fc.oneof(
  fc.constant<LightShow>({ kind: 'off' }),
  fc.constant<LightShow>({ kind: 'on' }),
  fc.double({ min: 1, max: 1200, noNaN: true }).map(flash),
  fc
    .record({ burst: fc.integer({ min: 1, max: 20 }), pauseSeconds: fc.integer({ min: 1, max: 9000 }) })
    .map(
      ({ burst, pauseSeconds }): LightShow => ({ kind: 'burst', burst, pauseSeconds: pauseSeconds / 1000 }),
    ),
);
const sweep = fc.record({
  lights: fc.shuffledSubarray(
    lights.map(({ id }) => id),
    { minLength: 2 },
  ),
  stepSeconds: fc.integer({ min: 1, max: 2000 }).map((ms) => ms / 1000),
});
const anyShows: fc.Arbitrary<Shows> = fc
  .record({ each: fc.tuple(show, show, show, show), run: fc.option(sweep) })
  .map(({ each, run }) => ({
    lights: Object.fromEntries(
      lights.flatMap(({ id }, i) => (run?.lights.includes(id) ? [] : [[id, each[i]!]])),
    ),
    ...(run === null ? {} : { sweep: run }),
  }));

test('any pattern: never more than three flashes a second, of one light or of the screen', () =>
  checkSeeded(
    file,
    300,
    fc.property(anyShows, (shows) => {
      expect(mostFlashes(play(shows), 8000)).toBeLessThanOrEqual(3);
    }),
  ));

test('any pattern: every state of every light is seen, in order, once in each of its turns', () =>
  checkSeeded(
    file,
    40,
    fc.property(anyShows, (shows) => {
      const playback = play(shows);
      const { lights: timelines } = patternTimeline(shows, lights);
      const lengthMs = Math.min(20_000, Math.max(2000, 3 * playback.roundMs));
      const frames = [...playback.frames(lengthMs)];
      timelines.forEach((timeline, l) => {
        const shown = dense(frames.map(({ lit }) => lit[l]));
        // Judge: the unit's own light, looked at every half millisecond of its time.
        const real: (string | undefined)[] = [];
        const last = (frames.at(-1)?.atMs ?? 0) / playback.slowedBy;
        for (let at = 0.25; at < last; at += 0.5) real.push(colourAt(timeline, at));
        expect(shown.length - dense(real).length).toBeLessThanOrEqual(1);
        expect(shown.slice(0, dense(real).length)).toEqual(dense(real).slice(0, shown.length));
        expect(dense(real).length - shown.length).toBeLessThanOrEqual(1);
      });
    }),
  ));

function dense<T>(values: readonly T[]): T[] {
  return values.filter((value, i) => i === 0 || value !== values[i - 1]);
}

test('at its own speed up to nearly three flashes a second, slowed above', () => {
  expect(play({ lights: { run: flash(100) } }).slowedBy).toBe(1);
  expect(play({ lights: { run: flash(170) } }).slowedBy).toBe(1);
  expect(play({ lights: { run: flash(240) } }).slowedBy).toBeCloseTo(171 / 125);
  expect(play({ lights: { run: { kind: 'burst', burst: 3, pauseSeconds: 2 } } }).slowedBy).toBe(1);
  expect(play({ lights: { run: { kind: 'burst', burst: 3, pauseSeconds: 0.05 } } }).slowedBy).toBeCloseTo(
    3.42,
  );
  expect(play({ lights: {}, sweep: { lights: ['run', 'link'], stepSeconds: 0.35 } }).slowedBy).toBe(1);
  expect(play({ lights: {}, sweep: { lights: ['run', 'link'], stepSeconds: 0.1 } }).slowedBy).toBeCloseTo(
    1.71,
  );
});

test('a light that nobody touches makes one frame; so do a display text and no light at all', () => {
  expect([...play({ lights: { run: { kind: 'on' } } }).frames(60_000)]).toEqual([
    { atMs: 0, lit: ['green', undefined, undefined, undefined] },
  ]);
  expect([...play({ lights: {} }).frames(60_000)]).toHaveLength(1);
  expect([...playbackOf(patternTimeline({ lights: {}, display: 'E 41' }, lights)).frames(60_000)]).toEqual([
    { atMs: 0, lit: [] },
  ]);
});

test('100 a minute, by hand: on for 300 ms, off for 300 ms', () => {
  expect(
    [...play({ lights: { run: flash(100) } }).frames(1500)].map(({ atMs, lit }) => [atMs, lit[0]]),
  ).toEqual([
    [0, 'green'],
    [300, undefined],
    [600, 'green'],
    [900, undefined],
    [1200, 'green'],
  ]);
});
