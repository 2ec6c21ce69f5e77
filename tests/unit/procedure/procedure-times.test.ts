// Times worked out by hand, step by step, beside what the code says.

import { describe, expect, test } from 'vitest';
import { procedureTimes } from '../../../src/procedure/procedure-times.ts';
import { productOf, pumpSteps, steps } from './written-product.ts';

const minute = 60;

describe('the pump drive, by hand', () => {
  const times = procedureTimes(productOf({ procedure: pumpSteps() }));
  // stop 4 min (stated), discharge 7 min, dead 1 + 3 x 0.5 + 1 (assumed), feed, lift, insert 2 min each.
  const untilStart = (4 + 7 + 3.5 + 2 + 2 + 2) * minute;
  const back = (2 + 1 + 2 + 2 + 2 + 3) * minute;

  test('shortest way to updated: one look of ten seconds, the hold at its shortest', () => {
    const updated = times.ends.find(({ end }) => end === 'updated');
    expect(updated?.shortest.seconds).toBe(untilStart + 6 + 10 + back);
    expect(updated?.shortest.path.slice(-4)).toEqual(['unplug', 'restart', 'serving', 'finished']);
  });

  test('longest way to updated: the watch runs out twice, with one more try between', () => {
    const updated = times.ends.find(({ end }) => end === 'updated');
    expect(updated?.longest.seconds).toBe(untilStart + 9 + 25 * minute + 2 * minute + 9 + 25 * minute + back);
    expect(updated?.longest.path.filter((id) => id === 'look')).toHaveLength(2);
  });

  test('the longest of all ends in a failure: it does not serve, and is stopped again', () => {
    const failed = times.ends.find(({ end }) => end === 'failed');
    const updated = times.ends.find(({ end }) => end === 'updated');
    expect(failed?.longest.seconds).toBe((updated?.longest.seconds ?? 0) + 2 * minute);
    expect(times.longest).toEqual(failed?.longest);
    expect(times.longest?.path.slice(-3)).toEqual(['serving', 'not-serving', 'ended-badly']);
  });

  test('shortest of all: found live', () => {
    expect(times.shortest?.path).toEqual(['stop', 'discharge', 'dead', 'live', 'not-begun']);
    expect(times.shortest?.seconds).toBe((4 + 7 + 3.5 + 2) * minute);
  });

  test('what was assumed is named, and so is a wait that the plate may lengthen', () => {
    expect([...times.assumed].sort()).toEqual(['confirm', 'do', 'measure', 'read', 'watch']);
    expect(times.plateMayBeLonger).toEqual(['discharge']);
    expect(times.bounded).toBe(true);
  });
});

test('minutes are rounded up, never down', () => {
  const times = procedureTimes(
    productOf({
      procedure: [
        { id: 'press', do: 'Press it', takes: '61s' },
        { id: 'done', end: 'updated' },
      ],
    }),
  );
  expect(times.longest).toEqual({ seconds: 61, minutes: 2, path: ['press', 'done'] });
});

test('what a manifest states for a wait or a hold can lengthen it, not shorten it', () => {
  const waiting = (takes: string) => [
    { id: 'charge', wait: '5min', takes },
    { id: 'done', end: 'updated' },
  ];
  expect(procedureTimes(productOf({ procedure: waiting('2min') })).longest?.seconds).toBe(300);
  expect(procedureTimes(productOf({ procedure: waiting('6min') })).longest?.seconds).toBe(360);
});

test('each try counts once: three more rounds, then the step is not done and costs nothing', () => {
  const times = procedureTimes(
    productOf({
      procedure: steps(`
- { id: press, do: Press it, takes: 10s }
- { id: look, watch: { taken: done, turned-down: again }, within: 100s, late: bad, unlisted: bad }
- { id: again, do: Wait and think, takes: 1s, then: press, tries: 3, otherwise: bad }
- { id: done, end: updated }
- { id: bad, end: failed }
`),
    }),
  );
  const failed = times.ends.find(({ end }) => end === 'failed');
  expect(failed?.longest.seconds).toBe(4 * 110 + 3);
  // Found before the times are counted: straight to failed by unlisted lights.
  expect(failed?.shortest.seconds).toBe(20);
});

test('a loop without a bound has no longest time', () => {
  const times = procedureTimes(
    productOf({
      procedure: [
        { id: 'press', do: 'Press it' },
        { id: 'check', confirm: 'serves', otherwise: 'press' },
        { id: 'done', end: 'updated' },
      ],
    }),
  );
  expect(times.bounded).toBe(false);
  expect(times.longest).toBeUndefined();
});

test('a time-out of a watch always costs the whole time', () => {
  const times = procedureTimes(
    productOf({
      procedure: [
        { id: 'look', watch: { taken: 'done' }, within: '90s', late: 'bad', unlisted: 'done' },
        { id: 'done', end: 'updated' },
        { id: 'bad', end: 'failed' },
      ],
    }),
  );
  const failed = times.ends.find(({ end }) => end === 'failed');
  expect([failed?.shortest.seconds, failed?.longest.seconds]).toEqual([90, 90]);
});
