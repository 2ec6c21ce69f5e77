// How a pattern is played on a phone, judged frame by frame: never more than three beginnings of light in a second, of
// all lights together, whatever the pattern is; and slowed no more than that needs.

import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Shows } from '../../../../src/manifest/schema.ts';
import { patternTimeline } from '../../../../src/procedure/light-timeline.ts';
import { screenPlayback } from '../../../../src/sheet/pocket/screen-playback.ts';
import { checkSeeded } from '../../../support/seeded.ts';

const lights = ['a', 'b', 'c', 'd', 'e', 'f'].map((id) => ({ id, label: id, colours: ['red', 'green'] }));

/** By brute force over every pair of frames; `quicker` plays it faster than it should be, to see that this is told. */
function mostInSecond(shows: Shows, quicker = 1): number {
  const begun: number[] = [];
  let before: readonly (string | undefined)[] | undefined;
  for (const { atMs, lit } of screenPlayback(patternTimeline(shows, lights)).frames(90_000)) {
    if (before !== undefined && lit.some((colour, i) => colour !== undefined && colour !== before?.[i])) {
      begun.push(atMs / quicker);
    }
    before = lit;
  }
  let most = 0;
  for (let first = 0; first < begun.length; first++) {
    let after = first;
    while (after < begun.length && begun[after]! < begun[first]! + 1000) after += 1;
    most = Math.max(most, after - first);
  }
  return most;
}

const flash = (perMinute: number) => ({ kind: 'flash' as const, perMinute });
const slowedBy = (shows: Shows) => screenPlayback(patternTimeline(shows, lights)).slowedBy;

test.each<[string, Shows, number]>([
  ['slow', { lights: { a: flash(60) } }, 1],
  ['100 a minute', { lights: { a: flash(100) } }, 1],
  ['180 a minute, the limit', { lights: { a: flash(170) } }, 1],
  ['a burst', { lights: { a: { kind: 'burst', burst: 4, pauseSeconds: 3 } } }, 1],
  ['a running light of 350 ms', { lights: {}, sweep: { lights: ['a', 'b', 'c'], stepSeconds: 0.35 } }, 1],
  ['on and off', { lights: { a: { kind: 'on' } } }, 1],
])('%s is played as it is', (_what, shows, expected) => {
  expect(slowedBy(shows)).toBeCloseTo(expected, 1);
  expect(mostInSecond(shows)).toBeLessThanOrEqual(3);
});

test('a quick running light is slowed as a whole, and a quick flash too', () => {
  const sweep: Shows = { lights: {}, sweep: { lights: ['a', 'b', 'c', 'd', 'e'], stepSeconds: 0.1 } };
  expect(slowedBy(sweep)).toBeGreaterThan(3.3);
  expect(mostInSecond(sweep)).toBe(3);
  expect(slowedBy({ lights: { a: flash(1200) } })).toBeGreaterThan(6);
  expect(mostInSecond(sweep, 2)).toBeGreaterThan(3);
});

test('lights with rounds of their own that come together only after a while are held back then', () => {
  const shows: Shows = {
    lights: { a: { kind: 'burst', burst: 5, pauseSeconds: 0.06487101669195704 } },
    sweep: { lights: ['d', 'e'], stepSeconds: 0.3269496531541297 },
  };
  expect(mostInSecond(shows)).toBe(3);
});

test('any pattern', async () => {
  const show = fc.oneof(
    fc.integer({ min: 1, max: 1200 }).map(flash),
    fc.record({
      kind: fc.constant('burst' as const),
      burst: fc.integer({ min: 1, max: 20 }),
      pauseSeconds: fc.double({ min: 0.05, max: 5, noNaN: true }),
    }),
    fc.constant({ kind: 'on' as const }),
    fc.constant({ kind: 'off' as const }),
  );
  const pattern = fc.record({
    lights: fc.dictionary(fc.constantFrom('a', 'b', 'c'), show),
    sweep: fc.option(
      fc.record({
        lights: fc.constantFrom(['d', 'e'], ['d', 'e', 'f']),
        stepSeconds: fc.double({ min: 0.03, max: 2, noNaN: true }),
      }),
      { nil: undefined },
    ),
  });
  await checkSeeded(
    'tests/unit/sheet/pocket/screen-playback.test.ts',
    80,
    fc.property(pattern, (shows) => {
      const plain = {
        lights: shows.lights,
        ...(shows.sweep !== undefined && { sweep: shows.sweep }),
      } as Shows;
      expect(mostInSecond(plain)).toBeLessThanOrEqual(3);
    }),
  );
});
