// From what people say that they see to what it means: simulated observers with their mistakes, and the answers
// that must not be given.

import { describe, expect, test } from 'vitest';
import type { Pattern, Product } from '../../../src/manifest/schema.ts';
import { parseSighting } from '../../../src/procedure/light-sighting.ts';
import { type LightMatch, matchLights } from '../../../src/procedure/match-lights.ts';
import { tellApart } from '../../../src/procedure/tell-apart.ts';
import { demoProducts } from './demo-products.ts';
import { type Mistakes, observe } from './light-observer.ts';
import { randomFrom } from './random-product.ts';
import { productOf, pumpSteps, steps } from './written-product.ts';

function answer(product: Product, seen: string): LightMatch[] {
  const sighting = parseSighting(seen, product.lights);
  if ('fault' in sighting) throw new Error(`${seen}: ${sighting.fault}`);
  return matchLights(product, sighting);
}

/** Many patterns of every kind, each pair of which a person can tell apart. */
const panel = productOf({
  id: 'panel-1',
  lights: [
    { id: 'run', label: 'RUN', colour: 'green' },
    { id: 'link', label: 'LINK', colour: 'white' },
    { id: 'fault', label: 'FAULT', colour: 'red' },
    { id: 'state', label: 'STATE', colour: ['green', 'red'] },
  ],
  patterns: [
    { id: 'idle', means: 'Idle', shows: { run: { perMinute: 12 } } },
    { id: 'ready', means: 'Ready', shows: { run: 'on', link: { perMinute: 60 } } },
    { id: 'going', means: 'Writing', busy: true, shows: { sweep: ['run', 'link', 'fault'], step: '300ms' } },
    {
      id: 'back',
      means: 'Writing back',
      busy: true,
      shows: { sweep: ['fault', 'link', 'run'], step: '300ms' },
    },
    { id: 'good', means: 'Taken', shows: { run: 'on', state: { colour: 'green' } } },
    {
      id: 'half',
      means: 'Taken in half',
      shows: { run: 'on', fault: { perMinute: 60 }, state: { colour: 'green' } },
    },
    {
      id: 'bad',
      means: 'Refused',
      shows: { fault: { perMinute: 120 }, state: { colour: 'red', perMinute: 30 } },
    },
    { id: 'worse', means: 'Broken', shows: { fault: 'on', link: 'on' } },
    { id: 'groups', means: 'No room', shows: { fault: { burst: 3, pause: '3s' }, run: 'on' } },
    { id: 'quick', means: 'Worn out', shows: { link: { perMinute: 200 } } },
  ],
  procedure: steps(`
- { id: look, watch: { going: look, back: look, ready: look, good: done, half: lost, bad: lost, worse: lost, groups: lost, quick: lost }, within: 5min, late: lost, unlisted: lost }
- { id: done, end: updated }
- { id: lost, end: failed }
`),
});
const pump = productOf({ procedure: pumpSteps() });
const products: readonly Product[] = [panel, pump, ...demoProducts];

/** Pairs that nobody can tell apart cannot be ranked by anybody. */
const tellable = (product: Product): Pattern[] =>
  product.patterns.filter((one) =>
    product.patterns.every(
      (other) => one === other || tellApart(one.shows, other.shows, product.lights) !== undefined,
    ),
  );

function share(
  product: Product,
  mistakes: Mistakes,
  rounds = 40,
): { first: number; total: number; wrong: string[] } {
  const random = randomFrom(product.patterns.length * 31 + mistakes.miscount);
  let first = 0;
  let total = 0;
  const wrong: string[] = [];
  for (const pattern of tellable(product)) {
    for (let i = 0; i < rounds; i += 1) {
      const seen = observe(pattern, product.lights, random, mistakes);
      total += 1;
      if (answer(product, seen)[0]?.pattern === pattern.id) first += 1;
      else wrong.push(`${pattern.id}: ${seen}`);
    }
  }
  return { first, total, wrong };
}

describe.each(products.map((product) => ({ id: product.id, product })))(
  '$id, by simulated observers',
  ({ product }) => {
    test('the right pattern comes first where nothing is mistaken', () => {
      const { wrong } = share(product, { miscount: 0, overlooks: 'none' });
      expect(wrong).toEqual([]);
    });

    test('and in 95 of 100 with one flash miscounted', () => {
      const { first, total, wrong } = share(product, { miscount: 1, overlooks: 'none' });
      expect(first / total, wrong.slice(0, 5).join('; ')).toBeGreaterThanOrEqual(0.95);
    });

    test('it is among the answers with two miscounted and a light overlooked', () => {
      const random = randomFrom(product.patterns.length);
      let judged = 0;
      for (const pattern of tellable(product)) {
        for (let i = 0; i < 30; i += 1) {
          const overlooks = i % 2 === 0 ? 'unnamed' : 'off';
          const seen = observe(pattern, product.lights, random, { miscount: 2, overlooks });
          // Nothing was seen to be lit: that can be anything.
          if (!/=(?!off)/.test(seen)) continue;
          judged += 1;
          const matches = answer(product, seen);
          expect(
            matches.map((match) => match.pattern),
            `${pattern.id}: ${seen}`,
          ).toContain(pattern.id);
        }
      }
      expect(judged).toBeGreaterThan(20);
    });

    test('never sure of one thing while it is another, whatever of this was mistaken', () => {
      const random = randomFrom(5);
      let sure = 0;
      for (const pattern of product.patterns) {
        for (let i = 0; i < 60; i += 1) {
          const mistakes: Mistakes = {
            miscount: i % 3,
            overlooks: (['none', 'unnamed', 'off'] as const)[Math.floor(i / 3) % 3]!,
          };
          const seen = observe(pattern, product.lights, random, mistakes);
          for (const match of answer(product, seen)) {
            if (match.sure) sure += 1;
            expect(
              match.sure && match.pattern !== pattern.id,
              `${pattern.id}, said ${seen}, taken for ${match.pattern}`,
            ).toBe(false);
          }
        }
      }
      // It does say sure where it may: else the test above could not fail.
      expect(sure).toBeGreaterThan(0);
    });
  },
);

describe('the judge of `sure` notices', () => {
  test('an answer that is sure of the first whatever it is', () => {
    const random = randomFrom(5);
    let caught = 0;
    for (const pattern of panel.patterns) {
      for (let i = 0; i < 60; i += 1) {
        const seen = observe(pattern, panel.lights, random, { miscount: 2, overlooks: 'off' });
        if (answer(panel, seen)[0]?.pattern !== pattern.id) caught += 1;
      }
    }
    expect(caught).toBeGreaterThan(0);
  });
});

describe('what is said', () => {
  test('a success seen just so, with every light looked at, is sure; with one not looked at it is not', () => {
    expect(answer(pump, 'data=on,pump=on,halt=off')[0]).toMatchObject({
      pattern: 'taken',
      sure: true,
      fit: 'fits',
    });
    const [good] = answer(panel, 'run=on,state=green');
    expect(good).toMatchObject({ pattern: 'good', sure: false });
    expect(good?.surer.join()).toContain('FAULT: off, or flashes, about 10 in ten seconds');
    // A fault light that was overlooked would make it another thing: not even then.
    expect(answer(panel, 'run=on,link=off,fault=off,state=green')[0]).toMatchObject({
      pattern: 'good',
      sure: false,
    });
  });

  test('what to do, from the procedure', () => {
    expect(answer(pump, 'data=2x,pump=off,halt=off')[0]).toMatchObject({
      pattern: 'loading',
      next: 'At `look`: keep watching, the time allowed runs on',
    });
    expect(answer(pump, 'halt=17in10s')[0]?.next).toBe('At `look`: `again`, Slide the card out and in again');
  });

  test('all off, where no pattern is: an answer, never a sure one', () => {
    const [dark, ...others] = answer(pump, 'off');
    expect(dark).toMatchObject({ pattern: null, sure: false });
    expect(dark?.next).toContain('An unlit light does not prove dead');
    expect(others.every(({ sure }) => !sure)).toBe(true);
  });

  test('all off, where a pattern is: that one', () => {
    const patterns = [
      ...['asleep', 'lit'].map((id) => ({ id, means: id, shows: id === 'lit' ? { pump: 'on' } : {} })),
    ];
    const product = productOf({ patterns, procedure: steps('- { id: done, end: updated }') });
    expect(answer(product, 'off')[0]).toMatchObject({ pattern: 'asleep', fit: 'fits', sure: false });
    expect(answer(product, 'off')[0]?.next).toContain('The procedure does not wait for this');
  });

  test('idle is an answer', () => {
    expect(answer(panel, 'run=2in10s,link=off,fault=off,state=off')[0]).toMatchObject({
      pattern: 'idle',
      fit: 'fits',
    });
  });

  test('a run seen the other way round is not sure', () => {
    const [first, second] = answer(panel, 'sweep=run+link+fault,state=off');
    expect([first?.pattern, second?.pattern]).toEqual(['going', 'back']);
    expect(first?.sure).toBe(false);
    expect(first?.surer[0]).toContain('the order in which they light up');
  });

  test('a colour is never enough to be sure', () => {
    const patterns = [
      { id: 'fine', means: 'Fine', shows: { state: { colour: 'green' } } },
      { id: 'lost', means: 'Lost', shows: { state: { colour: 'red' } } },
    ];
    const product = productOf({
      lights: [{ id: 'state', label: 'STATE', colour: ['green', 'red'] }],
      patterns,
      procedure: steps('- { id: done, end: updated }'),
    });
    const [first] = answer(product, 'state=green');
    expect(first).toMatchObject({ pattern: 'fine', sure: false });
    expect(first?.surer[0]).toContain('have a second person name the colour');
  });

  test('as good as each other: the one that does not lead to success stands first', () => {
    const product = productOf({
      patterns: [
        { id: 'good', means: 'Good', shows: { pump: 'on' } },
        { id: 'bad', means: 'Bad', shows: { data: 'on' } },
      ],
      procedure: steps(`
- { id: look, watch: { good: done, bad: lost }, within: 5min, late: lost, unlisted: lost }
- { id: done, end: updated }
- { id: lost, end: failed }
`),
    });
    const matches = answer(product, 'halt=off');
    expect(matches.map(({ pattern }) => pattern)).toEqual(['bad', 'good']);
    expect(matches.every(({ sure }) => !sure)).toBe(true);
  });

  test('a text that looks alike is found; another is not sure', () => {
    const patterns = [
      { id: 'a', means: 'A', shows: { display: 'E-17' } },
      { id: 'b', means: 'B', shows: { display: 'E-18' } },
      { id: 'c', means: 'C', shows: { display: 'DONE' } },
    ];
    const product = productOf({ lights: [], patterns, procedure: steps('- { id: done, end: updated }') });
    expect(answer(product, 'display=e-I7')[0]).toMatchObject({ pattern: 'a', sure: false });
    expect(answer(product, 'display=done')[0]).toMatchObject({ pattern: 'c', sure: true });
    expect(answer(product, 'display=E-17')[0]).toMatchObject({ pattern: 'a', sure: false });
  });

  test('nothing like it: the best guess is told as hardly fitting', () => {
    expect(
      answer(pump, 'pump=7in10s,data=off,halt=on').every(({ fit, sure }) => fit === 'hardly' && !sure),
    ).toBe(true);
  });

  test('at most five, and all texts on one line', () => {
    const matches = answer(panel, 'run=on');
    expect(matches.length).toBeLessThanOrEqual(5);
    for (const match of matches) expect(JSON.stringify(match)).not.toContain('\\n');
  });
});
