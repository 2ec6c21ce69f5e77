// Which cards visits take: by hand for each kind of unit, and at random against a count that knows nothing of how the plan
// is made.

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type CardPlanRequest, neededCards, wayBackOf } from '../../../src/fleet/card-plan.ts';
import type { Product } from '../../../src/manifest/schema.ts';
import { product, release } from './fleet-fixture.ts';

const withUse = (id: string, afterUse: Product['card']['afterUse']): Product => {
  const made = product(id, ['A', 'B']);
  return { ...made, card: { ...made.card, afterUse } };
};
const products = new Map([
  ['stays', withUse('stays', 'unchanged')],
  ['takes', withUse('takes', 'consumes')],
]);
const of = (id: string, version: string, more: Omit<Parameters<typeof release>[0], 'version'>) =>
  release({ ...more, version, product: id });
const releases = [
  of('stays', '1.0', { sequence: 1, from: { kind: 'list', versions: ['0.9'] } }),
  of('stays', '2.0', { sequence: 2, from: { kind: 'list', versions: ['1.0'] } }),
  of('takes', '5.0', { sequence: 1, from: { kind: 'any' } }),
];
const [one, two, five] = releases as [(typeof releases)[0], (typeof releases)[0], (typeof releases)[0]];
const unit = (serial: string, path: typeof releases, id = 'stays') => ({
  serial,
  product: id,
  hardware: 'A',
  path,
});
const plan = (units: CardPlanRequest['units'], more: Partial<CardPlanRequest> = {}) =>
  neededCards({ units, products, releases, ready: new Map(), vans: 1, day: '2030-01-01', ...more });
const visits = (units: CardPlanRequest['units'], more: Partial<CardPlanRequest> = {}) =>
  plan(units, more)
    .filter((card) => card.for === 'visit')
    .map(({ card, release, units: serials }) => [card, release, serials.join(' ')]);

describe('cards for visits', () => {
  test('one serves all units that leave it as it is; a path takes a card for each of its releases', () => {
    expect(visits([unit('A', [one, two]), unit('B', [two])])).toEqual([
      [null, 'stays@1.0', 'A'],
      [null, 'stays@2.0', 'A B'],
    ]);
  });
  test('each unit that changes it takes its own', () => {
    expect(visits([unit('A', [five], 'takes'), unit('B', [five], 'takes')])).toEqual([
      [null, 'takes@5.0', 'A'],
      [null, 'takes@5.0', 'B'],
    ]);
  });
  test('known cards that are ready are given out first, each once', () => {
    const ready = new Map([['takes@5.0', ['KF-01']]]);
    expect(
      visits([unit('A', [five], 'takes'), unit('B', [five], 'takes')], { ready }).map(([card]) => card),
    ).toEqual(['KF-01', null]);
  });
  test('none where nothing is to be done', () => {
    expect(plan([])).toEqual([]);
  });
});

test('spares: one more for each firmware file and van', () => {
  const spares = plan([unit('A', [one, two]), unit('B', [five], 'takes')], { vans: 2 }).filter(
    (card) => card.for === 'spare',
  );
  expect(spares.map(({ release }) => release)).toEqual([
    'stays@1.0',
    'stays@1.0',
    'stays@2.0',
    'stays@2.0',
    'takes@5.0',
    'takes@5.0',
  ]);
});

describe('the way back', () => {
  const back = of('stays', '1.5', { sequence: 3, from: { kind: 'list', versions: ['2.0'] } });
  const where = { products, releases: [...releases, back], day: '2030-01-01' };
  test('a lower release that admits the version', () => {
    expect(wayBackOf(two, 'A', where)).toBe(back);
    expect(wayBackOf(one, 'A', where)).toBeUndefined();
  });
  test('not one that is withdrawn, not yet issued, for other hardware, or from any version', () => {
    for (const other of [
      { ...back, withdrawn: { on: '2029-01-01', why: 'x' } },
      { ...back, issued: '2031-01-01' },
      { ...back, hardware: ['B'] },
      { ...back, from: { kind: 'any' as const } },
    ])
      expect(wayBackOf(two, 'A', { ...where, releases: [...releases, other] })).toBeUndefined();
  });
  test('is a card of its own for each van', () => {
    const cards = plan([unit('A', [two])], { releases: where.releases, vans: 2 }).filter(
      (card) => card.for === 'way-back',
    );
    expect(cards.map(({ release, units }) => [release, units])).toEqual([
      ['stays@1.5', ['A']],
      ['stays@1.5', ['A']],
    ]);
  });
});

test('at random: never two firmware files on a card, no card twice, and as many as a count by hand', () => {
  const path = fc.constantFrom([one], [two], [one, two]);
  const units = fc.array(
    fc.oneof(
      path.map((p) => ['stays', p] as const),
      fc.constant(['takes', [five]] as const),
    ),
    { maxLength: 8 },
  );
  const names = fc.array(fc.constantFrom('stays@1.0', 'stays@2.0', 'takes@5.0'), { maxLength: 6 });
  fc.assert(
    fc.property(units, names, fc.integer({ min: 1, max: 3 }), (chosen, known, vans) => {
      const wanted = chosen.map(([id, p], index) => unit(`U${index}`, [...p], id));
      const ready = new Map<string, string[]>();
      for (const [index, key] of known.entries()) ready.set(key, [...(ready.get(key) ?? []), `K${index}`]);
      const cards = plan(wanted, { ready, vans });
      const given = cards.flatMap(({ card }) => card ?? []);
      expect(new Set(given).size).toBe(given.length);
      for (const { card, release } of cards) if (card !== null) expect(ready.get(release)).toContain(card);
      const count = (key: string) =>
        wanted.filter(({ path: p }) => p.some((r) => `${r.product}@${r.version}` === key)).length;
      const expected =
        ['stays@1.0', 'stays@2.0'].reduce(
          (sum, key) => sum + (count(key) === 0 ? 0 : Math.min(vans, count(key)) + vans),
          0,
        ) + (count('takes@5.0') === 0 ? 0 : count('takes@5.0') + vans);
      expect(cards).toHaveLength(expected);
      // Each unit is served on each step of its path.
      for (const { serial, path: p } of wanted)
        for (const r of p)
          expect(
            cards.some(
              (card) =>
                card.for === 'visit' &&
                card.release === `${r.product}@${r.version}` &&
                card.units.includes(serial),
            ),
          ).toBe(true);
    }),
  );
});
