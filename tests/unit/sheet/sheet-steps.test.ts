// Numbers in place of names, worked out by hand for the pump drive: 1 to 3 the frame before, 4 to 28 the
// manifest's 25 steps, 29 to 32 the frame afterwards.

import { expect, test } from 'vitest';
import type { Product, Step } from '../../../src/manifest/schema.ts';
import { sheetSteps } from '../../../src/sheet/sheet-steps.ts';
import { steps as written } from '../procedure/written-product.ts';
import { pump, releaseOf } from './sheet-fixture.ts';

const numberOf = {
  stop: 4,
  discharge: 5,
  dead: 6,
  feed: 7,
  lift: 8,
  insert: 9,
  start: 10,
  look: 11,
  again: 12,
  'take-out': 13,
  after: 14,
  lower: 15,
  unplug: 16,
  restart: 17,
  serving: 18,
  finished: 19,
  'take-out-failed': 20,
  'lower-failed': 21,
  'unplug-failed': 22,
  'not-serving': 23,
  'ended-badly': 24,
  'leave-alone': 25,
  'ended-busy': 26,
  live: 27,
  'not-begun': 28,
};

test('one series of numbers, the frame around the manifest', () => {
  const steps = sheetSteps(pump(), releaseOf());
  expect(steps.map(({ number }) => number)).toEqual(Array.from({ length: 32 }, (_, i) => i + 1));
  expect(
    Object.fromEntries(steps.filter(({ id }) => id !== null).map(({ id, number }) => [id, number])),
  ).toEqual(numberOf);
  expect(
    steps.filter(({ id }) => id === null).map(({ number, part, body }) => [number, part, body.kind]),
  ).toEqual([
    [1, 'before', 'identify'],
    [2, 'before', 'version-before'],
    [3, 'before', 'settings'],
    [29, 'after', 'restore'],
    [30, 'after', 'service'],
    [31, 'after', 'condition'],
    [32, 'after', 'told'],
  ]);
});

test('every branch leads to its number', () => {
  const step = (number: number) => sheetSteps(pump(), releaseOf())[number - 1]!;
  expect(step(4).goTo).toEqual({ number: 5, isNext: true });
  expect(step(6).body).toMatchObject({ kind: 'measure', outside: { number: 27, isNext: false } });
  expect(step(11).goTo).toBeNull();
  expect(step(11).body).toMatchObject({
    kind: 'watch',
    busy: true,
    withinSeconds: 1500,
    late: { number: 25 },
    unlisted: { number: 25 },
    rows: [
      { pattern: 'loading', busy: true, goTo: null },
      { pattern: 'taken', busy: false, goTo: { number: 13, isNext: false } },
      { pattern: 'turned-down', goTo: { number: 12, isNext: true } },
    ],
  });
  expect(step(12)).toMatchObject({ goTo: { number: 10 }, tries: { tries: 1, otherwise: { number: 20 } } });
  expect(step(14).body).toMatchObject({
    kind: 'read',
    other: { number: 21 },
    unreadable: { number: 15, isNext: true },
  });
  expect(step(18)).toMatchObject({ goTo: { number: 19, isNext: true }, body: { otherwise: { number: 23 } } });
  expect(step(22).goTo).toEqual({ number: 24, isNext: false });
});

test('an updated unit gets its settings back, every other one goes on with how it is left', () => {
  const steps = sheetSteps(pump(), releaseOf());
  expect(steps[18]?.goTo?.number).toBe(29);
  for (const end of [24, 26, 28]) expect(steps[end - 1]?.goTo?.number, `end ${end}`).toBe(31);
  expect(steps[31]?.goTo).toBeNull();
});

test('an end says where everything must stand, and what is left otherwise', () => {
  const steps = sheetSteps(pump(), releaseOf());
  expect(steps[25]?.body).toEqual({
    kind: 'end',
    end: 'failed',
    stands: [
      { position: 'array', state: 'isolated', left: true },
      { position: 'supply', state: 'on', left: true },
      { position: 'flap', state: 'open', left: true },
      { position: 'card', state: 'in', left: true },
    ],
  });
  expect(steps[18]?.body).toMatchObject({
    stands: [{ left: false }, { left: false }, { left: false }, { left: false }],
  });
});

test('a step that nobody walks into says who sends there', () => {
  const only = sheetSteps(pump(), releaseOf()).flatMap(({ number, onlyFrom }) =>
    onlyFrom === null ? [] : [[number, onlyFrom]],
  );
  expect(only).toEqual([
    [12, [11]],
    [13, [11]],
    [20, [12]],
    [23, [18]],
    [25, [11]],
    [27, [6]],
    [29, [19]],
  ]);
});

test('without resets and signs of service the frame is shorter', () => {
  const steps = sheetSteps(
    pump({ serves: [], procedure: written('- { id: go, do: Go }\n- { id: done, end: updated }') }),
    releaseOf({ resets: [] }),
  );
  expect(steps.map(({ body }) => body.kind)).toEqual([
    'identify',
    'version-before',
    'do',
    'end',
    'condition',
    'told',
  ]);
  expect(steps[3]?.goTo?.number).toBe(5);
});

test('signs of service are asked for again only where settings were restored, or the procedure never asked', () => {
  const after = (steps: ReturnType<typeof sheetSteps>) =>
    steps.filter(({ part }) => part === 'after').map(({ body }) => body.kind);
  const short = written('- { id: go, do: Go }\n- { id: done, end: updated }');
  expect(after(sheetSteps(pump(), releaseOf({ resets: [] })))).toEqual(['condition', 'told']);
  expect(after(sheetSteps(pump({ procedure: short }), releaseOf({ resets: [] })))).toEqual([
    'service',
    'condition',
    'told',
  ]);
});

test('the revisions asked for are those that the release and the product share', () => {
  expect(sheetSteps(pump({ hardware: ['C', 'D', 'E'] }), releaseOf())[0]?.body).toEqual({
    kind: 'identify',
    revisions: ['C'],
  });
});

test('hostile texts are made safe, never cut', () => {
  const product = pump({ procedure: written('- { id: go, do: Go }\n- { id: done, end: updated }') });
  const saying = (text: string): Product => {
    const [go, done] = product.procedure as [Step & { kind: 'do' }, Step];
    return { ...product, procedure: [{ ...go, do: text }, done] };
  };
  const hostile = saying('Go\n [ ]  9  Pull the card\u001b[2J\u202e');
  expect(sheetSteps(hostile, releaseOf({ resets: [] }))[2]?.body).toEqual({
    kind: 'do',
    text: 'Go [ ] 9 Pull the card\\x1b[2J\\u202e',
  });
  expect(() => sheetSteps(saying('x'.repeat(5000)), releaseOf())).toThrow(/never cuts one/);
});
