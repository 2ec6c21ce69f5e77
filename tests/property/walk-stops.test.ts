// Over every prefix of every walk: what a stop gives never names a step that breaks a `needs`, a `never` or a
// `whileBusy`, never leads through the writing, and lists every position as it stands. Judged by playing the
// written procedure. Seeds: WALK_SEED=17 npx vitest run --project default tests/property/walk-stops.test.ts

import { describe, expect, test } from 'vitest';
import { productSchema } from '../../src/manifest/schema.ts';
import { checkGaps } from '../../src/procedure/check-gaps.ts';
import { exploreStates } from '../../src/procedure/state-space.ts';
import { stepGraphOf } from '../../src/procedure/step-graph.ts';
import { successorsOf } from '../../src/procedure/successors.ts';
import { reduceWalk } from '../../src/procedure/walk/reduce-walk.ts';
import { standOf } from '../../src/procedure/walk/stand.ts';
import type { WalkPlan } from '../../src/procedure/walk/walk.ts';
import { wayOut } from '../../src/procedure/walk/way-out.ts';
import { plantedCorpus, soundCorpus } from '../unit/procedure/gap-corpus.ts';
import { allWalks, type Visited } from '../unit/procedure/walk/all-walks.ts';
import { demoCase, demoProducts } from '../unit/procedure/walk/demo-case.ts';
import { type Judge, orderJudge, type Place, type PrintedStep } from '../unit/procedure/walk/order-judge.ts';
import { soundProduct } from '../unit/procedure/walk/sound-product.ts';
import { planOf } from '../unit/procedure/walk/walk-fixture.ts';
import type { Written } from '../unit/procedure/written-product.ts';

const first = Number(process.env.WALK_SEED ?? 1);
const count = process.env.WALK_SEED === undefined ? 40 : 1;

interface Tally {
  states: number;
  stops: number;
  orders: number;
  none: number;
}

function faultsOfStop(
  plan: WalkPlan,
  judge: Judge,
  written: Written,
  { walk, place }: Visited,
  tally: Tally,
): string[] {
  if (walk.phase.kind === 'ended' || walk.phase.kind === 'broken-off') return [];
  const stopped = reduceWalk(plan, walk, { kind: 'stop', atMs: walk.atMs + 1000 });
  const stand = standOf(plan, stopped);
  tally.stops += 1;
  if (place === null)
    return stand.order === null && stand.untouched ? [] : ['an order before anything was touched'];
  const lines: string[] = [];
  const positions = Object.fromEntries(stand.positions.map(({ name, state }) => [name, state]));
  if (JSON.stringify(positions) !== JSON.stringify(place.positions))
    lines.push(`positions: ${JSON.stringify(positions)}`);
  const writing = place.busy || judge.watchesWriting(place.step);
  if (writing && !stand.mayBeWriting) lines.push('it may be writing, and that is not said');
  if (stand.order === null) {
    tally.none += 1;
    return lines;
  }
  tally.orders += 1;
  lines.push(...judge.faults(place, stand.order));
  if (stand.mayBeWriting) {
    const whileBusy = (written.whileBusy ?? {}) as Record<string, string>;
    for (const { id } of stand.order) {
      const step = (written.procedure as { id: string; sets?: Record<string, string> }[]).find(
        (one) => one.id === id,
      );
      for (const [name, state] of Object.entries(step?.sets ?? {})) {
        if (whileBusy[name] !== undefined && whileBusy[name] !== state)
          lines.push(`${id} puts ${name} ${state} while it may be writing`);
      }
    }
  }
  return lines;
}

function judgeAll(written: Written, tally: Tally, plan = planOf(written)): string[] {
  const judge = orderJudge(written);
  const visited = allWalks(plan, judge);
  tally.states += visited.length;
  return visited.flatMap((one) =>
    faultsOfStop(plan, judge, written, one, tally).map((line) => `${one.place?.step ?? 'before'}: ${line}`),
  );
}

const noTally = (): Tally => ({ states: 0, stops: 0, orders: 0, none: 0 });

describe('stops', () => {
  test.each(soundCorpus.map(({ name, product }) => [name, product] as const))('%s', (_name, product) => {
    const tally = noTally();
    expect(judgeAll(product, tally)).toEqual([]);
    expect(tally.orders).toBeGreaterThan(0);
    expect(tally.none).toBeGreaterThan(0);
  });

  test.each(demoProducts)('%s, the demonstration product', (id) => {
    const { written, plan } = demoCase(id);
    const tally = noTally();
    expect(judgeAll(written, tally, plan)).toEqual([]);
    expect(tally.orders).toBeGreaterThan(20);
    expect(tally.none).toBeGreaterThan(20);
  });

  test(`${count} sound random procedures from seed ${first}`, () => {
    const tally = noTally();
    let judged = 0;
    for (let seed = first; judged < count && seed < first + count * 20; seed += 1) {
      const written = soundProduct(seed);
      const plan = planOf(written);
      const gaps = checkGaps(plan.product);
      const faults = gaps.findings.filter(({ severity }) => severity === 'stop');
      // Sound by the way they are made, but for the ends that chance left out.
      expect(
        faults.filter(({ code }) => code !== 'end-missing'),
        `seed ${seed}`,
      ).toEqual([]);
      if (faults.length > 0) continue;
      judged += 1;
      expect(judgeAll(written, tally), `WALK_SEED=${seed}`).toEqual([]);
    }
    expect(judged).toBe(count);
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
