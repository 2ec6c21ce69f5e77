// What a walk says, over every question of every demonstration product and of the corpus: fit to print, within 60
// columns, silent about what a person is to read for himself, and never a hint to touch what may be writing.

import { describe, expect, test } from 'vitest';
import { reduceWalk } from '../../../../src/procedure/walk/reduce-walk.ts';
import { resumeWalk } from '../../../../src/procedure/walk/resume-walk.ts';
import type { Complaint, WalkPlan } from '../../../../src/procedure/walk/walk.ts';
import { questionOf, type WalkQuestion } from '../../../../src/procedure/walk/walk-question.ts';
import { cautionLines, cautionsFor } from '../../../../src/sheet/cautions.ts';
import { en } from '../../../../src/sheet/languages/en.ts';
import { complaintText } from '../../../../src/sheet/walk/complaint-text.ts';
import { openingText } from '../../../../src/sheet/walk/opening-text.ts';
import { questionText } from '../../../../src/sheet/walk/question-text.ts';
import { walkTexts } from '../../../../src/sheet/walk/walk-texts.ts';
import { formatLeft } from '../../../../src/ui/walk-terminal.ts';
import { wrapLines, wrapParagraphs } from '../../../../src/ui/wrap-lines.ts';
import { soundCorpus } from '../../procedure/gap-corpus.ts';
import { allWalks } from '../../procedure/walk/all-walks.ts';
import { type DemoCase, demoCase, demoProducts } from '../../procedure/walk/demo-case.ts';
import { orderJudge } from '../../procedure/walk/order-judge.ts';
import { planOf } from '../../procedure/walk/walk-fixture.ts';
import type { WrittenStep } from '../../procedure/written-product.ts';

const columns = 60;
const serial = 'TB8120004477';

const withCautions = (plan: WalkPlan): WalkPlan => ({
  ...plan,
  serial,
  cautions: cautionLines(cautionsFor(plan.product), en).length,
});

const cases: DemoCase[] = [
  ...demoProducts.map(demoCase).map((one) => ({ ...one, plan: withCautions(one.plan) })),
  ...soundCorpus.slice(0, 2).map(({ name, product }) => {
    const plan = withCautions(planOf(product, { resets: ['bus address', 'speed limit'] }));
    return { name, written: product, plan };
  }),
];

const textsOf = ({ product, release }: WalkPlan) => walkTexts(en, product, release, serial, () => '14:30:00');

/** Every question of a product, and every stop at it, also while resuming. */
function questions({ written, plan }: DemoCase): WalkQuestion[] {
  return allWalks(plan, orderJudge(written)).flatMap(({ walk }) => {
    if (walk.phase.kind === 'ended') return [];
    const stopped = reduceWalk(plan, walk, { kind: 'stop', atMs: walk.atMs });
    const resumed = walk.begun ? [resumeWalk(plan, walk.done, true, walk.atMs)] : [];
    return [walk, stopped, ...resumed].map((one) => questionOf(plan, one));
  });
}

describe.each(cases)('$name', (one) => {
  const texts = textsOf(one.plan);
  const all = questions(one);
  const said = all.map((question) => ({ question, text: questionText(texts, question) }));
  const whole = ({ head, warning, lines }: (typeof said)[number]['text']) =>
    [head, warning ?? '', ...lines].join('\n');

  test('every kind of question occurs', () => {
    const kinds = new Set(all.map(({ asked }) => asked.kind));
    for (const kind of [
      'caution',
      'card',
      'plate',
      'version-before',
      'starts',
      'do',
      'watch',
      'left',
      'cause',
      'case',
      'told',
      'stopped',
    ]) {
      expect(kinds).toContain(kind);
    }
  });

  test('fits 60 columns, says something, and is fit to print', () => {
    for (const { text } of said) {
      expect(text.head).not.toBe('');
      expect(text.lines.length).toBeGreaterThan(0);
      const printed = [
        text.head,
        wrapLines([`! ${text.warning ?? ''}`], columns),
        wrapParagraphs(text.lines, columns),
      ].join('\n');
      for (const line of printed.split('\n')) expect([...line].length, line).toBeLessThanOrEqual(columns);
      expect(printed).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u00a0]/);
      expect(printed).not.toMatch(/undefined|null|NaN|\[object/);
    }
  });

  test('does not say what a person has to read from plate and display', () => {
    for (const { question, text } of said) {
      if (['read', 'version-before'].includes(question.asked.kind))
        expect(whole(text)).not.toContain(one.plan.release.version);
      if (question.asked.kind === 'plate') expect(whole(text)).not.toContain('4477');
    }
  });

  test('warns wherever the unit may be writing', () => {
    const busy = en.lights.busy;
    for (const { question, text } of said) {
      if (question.asked.kind === 'stopped') {
        expect(whole(text).includes(busy)).toBe(question.asked.stand.mayBeWriting);
      } else expect(text.warning).toBe(question.mayBeWriting ? busy : null);
    }
    expect(said.some(({ text }) => text.warning === busy)).toBe(true);
  });

  test('a stop names no step but those of its order and the one in hand', () => {
    const procedure = one.written.procedure as WrittenStep[];
    const numberOf = (id: string) => texts.numbers.get(id);
    let orders = 0;
    for (const { question, text } of said) {
      if (question.asked.kind !== 'stopped') continue;
      const { stand } = question.asked;
      const order = stand.order?.map(({ id }) => id) ?? [];
      if (order.length > 0) orders += 1;
      const named = new Set([...order, ...(stand.step === null ? [] : [stand.step])]);
      const printed = whole(text).replace(/\u00a0/g, ' ');
      for (const [, number] of printed.matchAll(/Step (\d+)/g)) {
        expect([...named].map(numberOf)).toContain(Number(number));
      }
      const spoken = order.map((id) => String(procedure.find((step) => step.id === id)!.do ?? ''));
      for (const { do: text_ } of procedure) {
        // Some steps say the same in different places: then one that is on the way may say it.
        if (typeof text_ !== 'string' || spoken.some((one_) => one_.includes(text_))) continue;
        expect(printed).not.toContain(text_);
      }
      for (const id of order) expect(printed).toContain(`Step ${numberOf(id)}:`);
      // While it may be writing, nobody is even asked how to bring anything back.
      if (stand.mayBeWriting && stand.order === null) expect(printed).not.toMatch(/bring it back/);
    }
    expect(orders).toBeGreaterThan(3);
  });

  test('the opening names unit, firmware, source, and that it is no approval', () => {
    const opening = openingText(texts, null).join('\n');
    expect(opening).toContain(serial);
    expect(opening).toContain(`${one.plan.release.product}@${one.plan.release.version}`);
    expect(opening).toContain('checked for gaps; not a safety approval');
    expect(openingText(texts, '2026-11-24 14:30').join('\n')).toContain('2026-11-24 14:30');
  });
});

test('every complaint says something, and nothing that could act on a terminal', () => {
  const texts = textsOf(cases[0]!.plan);
  for (const code of Object.keys(en.walk.complaints) as Complaint['code'][]) {
    const text = complaintText(texts, {
      code,
      heard: false,
      seen: '\u001b[2J4.1',
      expected: 'A, B',
      fromMs: 0,
    });
    expect(text.length).toBeGreaterThan(10);
    expect(text).not.toMatch(/[\u0000-\u001f]/);
  }
  expect(complaintText(texts, { code: 'too-early', heard: false, fromMs: 1 })).toContain('14:30:00');
});

test('what is left of a time', () => {
  expect([0, 1, 999, 1000, 59_000, 59_001, 60_000, 402_000, 3_600_000, 7_265_000].map(formatLeft)).toEqual([
    '0 s',
    '1 s',
    '1 s',
    '1 s',
    '59 s',
    '1:00',
    '1:00',
    '6:42',
    '1:00:00',
    '2:01:05',
  ]);
  expect(formatLeft(-5)).toBe('0 s');
});
