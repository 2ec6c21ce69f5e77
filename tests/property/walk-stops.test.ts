// Over every prefix of every walk: what a stop gives never names a step that breaks a `needs`, a `never` or a
// `whileBusy`, never leads through the writing, and lists every position as it stands. Judged by playing the
// written procedure. Seeds: WALK_SEED=17 npx vitest run --project default tests/property/walk-stops.test.ts

import { describe, expect, test } from 'vitest';
import { productSchema } from '../../src/manifest/schema.ts';
import { exploreStates } from '../../src/procedure/state-space.ts';
import { stepGraphOf } from '../../src/procedure/step-graph.ts';
import { successorsOf } from '../../src/procedure/successors.ts';
import { standOf } from '../../src/procedure/walk/stand.ts';
import { wayOut } from '../../src/procedure/walk/way-out.ts';
import { plantedCorpus, soundCorpus } from '../unit/procedure/gap-corpus.ts';
import { allWalks } from '../unit/procedure/walk/all-walks.ts';
import { demoCase, demoProducts } from '../unit/procedure/walk/demo-case.ts';
import { judgeStops, noTally, soundProducts } from '../unit/procedure/walk/judge-stops.ts';
import { orderJudge, type Place, type PrintedStep } from '../unit/procedure/walk/order-judge.ts';
import { planOf } from '../unit/procedure/walk/walk-fixture.ts';

const first = Number(process.env.WALK_SEED ?? 1);
const count = process.env.WALK_SEED === undefined ? 25 : 1;

describe('stops', () => {
  test.each(soundCorpus.map(({ name, product }) => [name, product] as const))('%s', (_name, product) => {
    const tally = noTally();
    expect(judgeStops(product, tally)).toEqual([]);
    expect(tally.orders).toBeGreaterThan(0);
    expect(tally.none).toBeGreaterThan(0);
  });

  test.each(demoProducts)('%s, the demonstration product', (id) => {
    const { written, plan } = demoCase(id);
    const tally = noTally();
    expect(judgeStops(written, tally, plan)).toEqual([]);
    expect(tally.orders).toBeGreaterThan(20);
    expect(tally.none).toBeGreaterThan(20);
  });

  test(`${count} sound random procedures from seed ${first}`, () => {
    const tally = noTally();
    const products = soundProducts(first, count);
    for (const { seed, written } of products)
      expect(judgeStops(written, tally), `WALK_SEED=${seed}`).toEqual([]);
    expect(products).toHaveLength(count);
    if (count === 1) return;
    expect(tally.orders).toBeGreaterThan(tally.stops * 0.1);
    expect(tally.none).toBeGreaterThan(tally.stops * 0.1);
  });
});

describe('an order is given wherever there may be one', () => {
  test.each(soundCorpus.slice(0, 4).map(({ name, product }) => [name, product] as const))(
    '%s',
    (_name, product) => {
      const plan = planOf(product);
      const judge = orderJudge(product);
      for (const { walk, place } of allWalks(plan, judge)) {
        if (place === null || walk.phase.kind !== 'step') continue;
        const { order, mayBeWriting } = standOf(plan, walk);
        const expected = judge.expected(place);
        if (order === null && mayBeWriting && expected !== null) continue;
        expect(order === null ? null : new Set(order.map(({ id }) => id)), place.step).toEqual(expected);
      }
    },
  );
});

describe('even in a procedure with a gap', () => {
  const cases = plantedCorpus.filter(({ told }) =>
    told.some((code) => ['needs-fails', 'never-true', 'busy-broken', 'end-state'].includes(code)),
  );
  test(`${cases.length} procedures: an order only where every way is clean`, () => {
    let refused = 0;
    for (const { name, product } of cases) {
      const parsed = productSchema.parse(product);
      const successors = successorsOf(stepGraphOf(parsed));
      const space = exploreStates(successors);
      const judge = orderJudge(product);
      for (let id = 0; id < space.count; id += 1) {
        const at = successors.unpack(space.words, id * successors.stride);
        const { graph } = successors;
        if (graph.steps[at.step] === undefined) continue;
        const place: Place = {
          step: graph.steps[at.step]!.id,
          positions: Object.fromEntries(
            graph.axes.map((axis, i) => [axis.name, axis.states[at.positions[i]!]!]),
          ),
          used: Object.fromEntries(graph.counted.map((step, i) => [graph.steps[step]!.id, at.triesUsed[i]!])),
          busy: at.busy,
          seen: at.seen,
        };
        const order = wayOut({ product: parsed, successors }, at, false);
        const expected = judge.expected(place);
        if (expected === null) refused += 1;
        expect(
          order === null ? null : new Set(order.map((step) => step.id)),
          `${name}, ${place.step}`,
        ).toEqual(expected);
      }
    }
    expect(refused).toBeGreaterThan(100);
  });
});

describe('the judge catches planted damage', () => {
  const product = soundCorpus[0]!.product;
  const plan = planOf(product);
  const judge = orderJudge(product);
  const visited = allWalks(plan, judge);
  const at = (id: string, busy = false) =>
    visited.find(
      ({ place, walk }) => place?.step === id && place.busy === busy && walk.phase.kind === 'step',
    )!;
  const order = (id: string): PrintedStep[] => [...standOf(plan, at(id).walk).order!];
  const faults = (id: string, printed: readonly PrintedStep[]) => judge.faults(at(id).place!, printed);

  test('nothing is wrong with what is given', () => {
    expect(faults('take-out', order('take-out'))).toEqual([]);
  });
  test('a step left out', () => {
    expect(
      faults(
        'take-out',
        order('take-out').filter(({ id }) => id !== 'lower'),
      ),
    ).not.toEqual([]);
  });
  test('a step too many', () => {
    expect(faults('lower', [...order('lower'), { id: 'insert', exits: [] }])).not.toEqual([]);
  });
  test('a step that leads elsewhere', () => {
    const printed = order('unplug').map((one) =>
      one.id === 'unplug' ? { ...one, exits: [{ reason: 'done', to: 'serving' }] } : one,
    );
    expect(faults('unplug', printed)).not.toEqual([]);
  });
  test('a branch left out', () => {
    const printed = order('serving').map((one) =>
      one.id === 'serving' ? { ...one, exits: one.exits.slice(0, 1) } : one,
    );
    expect(faults('serving', printed)).not.toEqual([]);
  });
  test('a way through the writing', () => {
    expect(faults('start', [{ id: 'start', exits: [{ reason: 'done', to: 'look' }] }])).toContain(
      'look is on the way and is not printed',
    );
    expect(judge.expected(at('start').place!)).toBeNull();
  });
  test('another place than the walk is in: needs, never and ends show', () => {
    const place = { ...at('lower').place!, positions: { ...at('lower').place!.positions, card: 'in' } };
    const lines = judge.faults(place, order('lower'));
    expect(lines).toContain('lower: its needs do not hold');
    expect(lines).toContain('serving: what must never be, is');
    expect(lines).toContain('finished: card is left elsewhere');
  });
  test('a unit that may still be writing', () => {
    const place = { ...at('take-out').place!, busy: true };
    expect(judge.faults(place, order('take-out'))).toContain('after: whileBusy is broken');
  });
});
