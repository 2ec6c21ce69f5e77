// Which patterns a person can tell apart: both sides of every limit, in both directions.

import { describe, expect, test } from 'vitest';
import { type Light, productSchema, type Shows } from '../../../src/manifest/schema.ts';
import { checkGaps } from '../../../src/procedure/check-gaps.ts';
import { showsText, showText } from '../../../src/procedure/light-text.ts';
import { tellApart } from '../../../src/procedure/tell-apart.ts';
import { productOf, steps, writtenProduct } from './written-product.ts';

const writtenLights = [
  { id: 'run', label: 'RUN', colour: 'green' },
  { id: 'link', label: 'LINK', colour: 'white' },
  { id: 'fault', label: 'FAULT', colour: ['red', 'green'] },
  { id: 'amber', label: 'AMBER', colour: ['yellow', 'amber'] },
];

function shown(written: object): { shows: Shows; lights: readonly Light[] } {
  const product = productSchema.parse(
    writtenProduct({
      lights: writtenLights,
      patterns: [{ id: 'one', means: 'One', shows: written }],
      procedure: steps('- { id: done, end: updated }'),
    }),
  );
  return { shows: product.patterns[0]!.shows, lights: product.lights };
}

function apart(a: object, b: object) {
  const [one, other] = [shown(a), shown(b)];
  const there = tellApart(one.shows, other.shows, one.lights);
  const back = tellApart(other.shows, one.shows, one.lights);
  // Whichever comes first: the same answer, told the other way round.
  expect(back === undefined).toBe(there === undefined);
  expect([back?.seconds, back?.light, back?.colourOnly]).toEqual([
    there?.seconds,
    there?.light,
    there?.colourOnly,
  ]);
  return there;
}

const flash = (perMinute: number) => ({ run: { perMinute } });

describe('two rates of one light', () => {
  test.each([
    [60, 90],
    [60, 90.0001],
    [100, 150],
    [22.2, 33.3],
    [66.6, 99.9],
    [1, 1.5],
    [40, 60],
    [160, 240],
    [200, 300],
    [161, 242],
  ])('%f and %f a minute: far enough apart', (a, b) => {
    expect(apart(flash(a), flash(b))).toMatchObject({ light: 'run', colourOnly: false });
  });

  test.each([
    [60, 89.99],
    [60, 60],
    [100, 149.9],
    [22.2, 33.2],
    [1, 1.49],
    [239, 241],
    [170, 241],
    [240, 241],
    // Both count as on, however far apart.
    [241, 500],
    [300, 1200],
    [240.5, 400],
  ])('%f and %f a minute: the same to a person', (a, b) => {
    expect(apart(flash(a), flash(b))).toBeUndefined();
  });

  test.each([
    [240, true],
    [239, true],
    [60, true],
    [240.001, false],
    [241, false],
    [1200, false],
  ])('%f a minute against on: told apart %s', (rate, told) => {
    expect(apart(flash(rate), { run: 'on' }) !== undefined).toBe(told);
  });

  test.each([
    [1, true],
    [240, true],
    [241, true],
    [1200, true],
  ])('%f a minute against off: told apart %s', (rate, told) => {
    expect(apart(flash(rate), {}) !== undefined).toBe(told);
  });

  test('the closer the rates, the longer it takes', () => {
    // Three flashes between the counts: at 0.5 a second more that is six seconds.
    expect(apart(flash(60), flash(90))?.seconds).toBe(6);
    expect(apart(flash(20), flash(30))?.seconds).toBe(18);
    expect(apart(flash(20), flash(200))?.seconds).toBe(4);
    expect(apart(flash(6), {})?.seconds).toBe(11);
    expect(apart({ run: 'on' }, {})?.seconds).toBe(2);
  });
});

describe('bursts', () => {
  const burst = (count: number, pause: string) => ({ run: { burst: count, pause } });
  test.each([
    [burst(2, '1s'), burst(3, '1s')],
    [burst(5, '2s'), burst(6, '2s')],
    [burst(7, '2s'), burst(11, '2s')],
    [burst(3, '1s'), burst(3, '1.5s')],
    [burst(3, '2s'), { run: 'on' }],
    [burst(3, '2s'), {}],
    [burst(3, '2s'), flash(60)],
    [burst(1, '750ms'), burst(2, '750ms')],
    // One flash and a pause is a flash of 60 a minute.
    [burst(1, '750ms'), flash(90)],
  ])('%j and %j can be told apart', (a, b) => {
    expect(apart(a, b)).toMatchObject({ colourOnly: false });
  });

  test.each([
    [burst(3, '1s'), burst(3, '1s')],
    [burst(7, '2s'), burst(8, '2s')],
    [burst(3, '1s'), burst(3, '1.4s')],
    [burst(1, '750ms'), flash(60)],
    [burst(1, '750ms'), flash(89)],
    // A pause hardly longer than the dark within the group is none.
    [burst(4, '300ms'), flash(120)],
    [burst(4, '300ms'), burst(9, '350ms')],
  ])('%j and %j cannot', (a, b) => {
    expect(apart(a, b)).toBeUndefined();
  });
});

describe('colours', () => {
  const fault = (colour: string) => ({ fault: { perMinute: 60, colour } });
  test('of one light: told by the colour alone, and said so', () => {
    expect(apart(fault('red'), fault('green'))).toMatchObject({ light: 'fault', colourOnly: true });
  });
  test('names for the same light do not tell', () => {
    expect(apart({ amber: { colour: 'yellow' } }, { amber: { colour: 'amber' } })).toBeUndefined();
  });
  test('what tells besides the colour comes first', () => {
    const found = apart({ ...fault('red'), link: 'on' }, { ...fault('green'), link: { perMinute: 6 } });
    expect(found).toMatchObject({ light: 'link', colourOnly: false });
  });
});

describe('runs of lights', () => {
  const run = (sweep: string[], step: string) => ({ sweep, step });
  test.each([
    [run(['run', 'link', 'fault'], '200ms'), run(['fault', 'link', 'run'], '200ms')],
    [run(['run', 'link'], '200ms'), run(['run', 'link'], '300ms')],
    [run(['run', 'link'], '200ms'), run(['run', 'fault'], '200ms')],
    [run(['run', 'link'], '200ms'), run(['run', 'link', 'fault'], '200ms')],
    [run(['run', 'link'], '500ms'), { run: 'on', link: 'on' }],
    [run(['run', 'link'], '500ms'), { run: { perMinute: 60 }, link: { perMinute: 60 } }],
    // A round of a quarter of a second is 240 a minute.
    [run(['run', 'link'], '125ms'), { run: 'on', link: 'on' }],
  ])('%j and %j can be told apart', (a, b) => {
    expect(apart(a, b)).toMatchObject({ colourOnly: false });
  });

  test.each([
    [run(['run', 'link', 'fault'], '200ms'), run(['link', 'fault', 'run'], '200ms')],
    [run(['run', 'link'], '200ms'), run(['link', 'run'], '299ms')],
    [run(['run', 'link'], '200ms'), run(['run', 'link', 'run', 'link'], '200ms')],
    [run(['run', 'link'], '124ms'), { run: 'on', link: 'on' }],
    [run(['run', 'link', 'fault'], '99ms'), run(['fault', 'link', 'run'], '99ms')],
  ])('%j and %j cannot', (a, b) => {
    expect(apart(a, b)).toBeUndefined();
  });
});

describe('display texts', () => {
  test.each([
    ['READY', 'DONE'],
    ['E-17', 'E-18'],
    ['STEP 1', 'STEP 11'],
  ])('%s and %s can be told apart', (a, b) => {
    expect(apart({ display: a }, { display: b })).toMatchObject({ colourOnly: false });
  });
  test.each([
    ['READY', 'ready'],
    ['E-17', 'E-I7'],
    ['STEP 1', 'STEP1'],
    ['50', 'SO'],
  ])('%s and %s cannot', (a, b) => {
    expect(apart({ display: a }, { display: b })).toBeUndefined();
  });
  test('a text and lights can', () => {
    expect(apart({ display: 'READY' }, { run: 'on' })).toBeDefined();
    expect(apart({ display: 'READY' }, {})).toBeDefined();
  });
});

describe('what follows from two that look alike', () => {
  const base = {
    lights: writtenLights,
    patterns: [
      { id: 'going', means: 'Goes on', busy: true, shows: { run: { perMinute: 60 } } },
      { id: 'good', means: 'Good', shows: { run: { perMinute: 80 } } },
      { id: 'other', means: 'Other', shows: { link: 'on' } },
    ],
  };
  const watch = (patterns: string) =>
    steps(`
- { id: look, watch: { ${patterns} }, within: 5min, late: bad, unlisted: bad }
- { id: done, end: updated, leaves: { card: out } }
- { id: bad, end: failed }
`);
  const told = (patterns: string, more: object = {}) =>
    checkGaps(productOf({ ...base, ...more, whileBusy: {}, procedure: watch(patterns) })).findings.map(
      ({ code, severity, where }) => [code, severity, where],
    );

  test('one watch, different steps: refused there', () => {
    expect(told('going: look, good: done')).toEqual([['patterns-alike', 'stop', 'look']]);
  });
  test('one watch, the same step: a warning', () => {
    expect(told('going: done, good: done, other: bad')).toEqual([['patterns-alike', 'warn', 'good']]);
  });
  test('never together in a watch: a warning', () => {
    expect(told('good: done, other: bad')).toEqual([['patterns-alike', 'warn', 'good']]);
  });
  test('a colour alone, different steps: a warning of its own', () => {
    const patterns = [
      { id: 'going', means: 'Goes on', shows: { fault: { colour: 'red' } } },
      { id: 'good', means: 'Good', shows: { fault: { colour: 'green' } } },
    ];
    expect(told('going: bad, good: done', { patterns })).toEqual([['patterns-by-colour', 'warn', 'look']]);
    expect(told('going: done, good: done', { patterns })).toEqual([]);
  });
});

describe('in words', () => {
  test('counts, not rates; and colours only where there are two', () => {
    expect(showText({ kind: 'flash', perMinute: 100 })).toBe('flashes, about 17 in ten seconds');
    expect(showText({ kind: 'flash', perMinute: 4 })).toBe('flashes, 4 in a minute');
    expect(showText({ kind: 'burst', burst: 2, pauseSeconds: 0.5 })).toBe(
      'flashes twice, then a pause of 500 ms',
    );
    expect(showText({ kind: 'on', colour: 'red' })).toBe('on red');
  });
  test('a whole pattern', () => {
    const { shows, lights } = shown({ run: 'on', fault: { perMinute: 60, colour: 'red' } });
    expect(showsText(shows, lights)).toBe(
      'RUN on, FAULT flashes red, about 10 in ten seconds; the others off',
    );
    expect(showsText({ lights: {} }, lights)).toBe('all lights off');
    expect(showsText({ lights: {}, display: 'E-17' }, lights)).toBe('the display says "E-17"');
    expect(showsText(shown({ sweep: ['run', 'link'], step: '400ms' }).shows, lights)).toBe(
      'RUN, LINK light up in turn, 400 ms each; the others off',
    );
  });
});
