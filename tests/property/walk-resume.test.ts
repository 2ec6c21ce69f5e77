// A walk that broke off anywhere is rebuilt from what was kept of it, and nothing else. It goes on from exactly
// where it was once identity, positions and measurements agree, and never where they do not.
// Seeds: WALK_SEED=17 npx vitest run --project default tests/property/walk-resume.test.ts

import { describe, expect, test } from 'vitest';
import { resumeWalk } from '../../src/procedure/walk/resume-walk.ts';
import type { Walk } from '../../src/procedure/walk/walk.ts';
import { questionOf } from '../../src/procedure/walk/walk-question.ts';
import { soundCorpus } from '../unit/procedure/gap-corpus.ts';
import { allWalks } from '../unit/procedure/walk/all-walks.ts';
import { demoCase, demoProducts } from '../unit/procedure/walk/demo-case.ts';
import { judgeResumes } from '../unit/procedure/walk/judge-resumes.ts';
import { soundProducts } from '../unit/procedure/walk/judge-stops.ts';
import { orderJudge } from '../unit/procedure/walk/order-judge.ts';
import { planOf } from '../unit/procedure/walk/walk-fixture.ts';

const first = Number(process.env.WALK_SEED ?? 1);
const count = process.env.WALK_SEED === undefined ? 8 : 1;
describe('resuming', () => {
  test.each(soundCorpus.slice(0, 4).map(({ name, product }) => [name, product] as const))(
    '%s',
    (_name, product) => {
      const { judged, measured } = judgeResumes(product);
      expect(judged).toBeGreaterThan(20);
      expect(measured).toBeGreaterThan(_name.startsWith('small') || _name.startsWith('charger') ? -1 : 3);
    },
  );

  test.each(demoProducts)('%s, the demonstration product', (id) => {
    const { written, plan } = demoCase(id);
    const { judged, measured } = judgeResumes(written, plan);
    expect(judged).toBeGreaterThan(50);
    // The charger is not opened, so nothing is measured at it.
    expect(measured > 0).toBe(id !== 'kerb-22');
  });

  test(`${count} sound random procedures from seed ${first}`, () => {
    let measured = 0;
    const products = soundProducts(first, count);
    for (const { seed, written } of products) {
      try {
        measured += judgeResumes(written).measured;
      } catch (error) {
        throw new Error(`WALK_SEED=${seed}`, { cause: error });
      }
    }
    expect(products).toHaveLength(count);
    if (count > 1) expect(measured).toBeGreaterThan(5);
  });
});

describe('what cannot be resumed', () => {
  const product = soundCorpus[0]!.product;
  const plan = planOf(product);
  const walks = allWalks(plan, orderJudge(product));
  const looking = walks.find(
    ({ place, walk }) => place?.step === 'lower' && walk.phase.kind === 'step',
  )!.walk;

  const isLost = (walk: Walk) => {
    expect(walk.phase).toMatchObject({ kind: 'stopped', why: 'manifest-changed', from: null });
    const { asked } = questionOf(plan, walk);
    expect(asked).toMatchObject({
      mayGoOn: false,
      outcomes: ['failed'],
      stand: { order: null, mayBeWriting: true },
    });
    return asked.kind === 'stopped' ? asked.stand.positions.map(({ state }) => state) : [];
  };

  test('another manifest: the positions as last known, and no order', () => {
    expect(isLost(resumeWalk(plan, looking.done, false, looking.atMs))).toEqual([
      'isolated',
      'on',
      'open',
      'out',
    ]);
  });
  test('a step that is not there', () => {
    const done = looking.done.map((item) => (item.step === 'lift' ? { ...item, step: 'lifted' } : item));
    isLost(resumeWalk(plan, done, true, looking.atMs));
  });
  test('a step left by an exit that it does not have', () => {
    const done = looking.done.map((item) => (item.step === 'lift' ? { ...item, result: 'passes' } : item));
    isLost(resumeWalk(plan, done, true, looking.atMs));
  });
  test('positions that do not follow', () => {
    const done = looking.done.map((item) =>
      item.step === 'insert' ? { ...item, positions: { ...item.positions, card: 'out' } } : item,
    );
    isLost(resumeWalk(plan, done, true, looking.atMs));
  });
  test('an entry that is missing', () => {
    isLost(
      resumeWalk(
        plan,
        looking.done.filter(({ step }) => step !== 'feed'),
        true,
        looking.atMs,
      ),
    );
  });
});
