// The check for gaps on the corpus: every plant told by its code and nothing else, every sound procedure
// passed, every shortest way as short as the judge's, and every rule missed when it is taken out.

import { describe, expect, test } from 'vitest';
import { productSchema } from '../../../src/manifest/schema.ts';
import { checkGaps, type GapRules, gapRules } from '../../../src/procedure/check-gaps.ts';
import type { GapFinding } from '../../../src/procedure/gap-finding.ts';
import { plantedCorpus, soundCorpus } from './gap-corpus.ts';
import { judge } from './gap-judge.ts';
import { disagreement } from './judge-agrees.ts';
import { productOf, steps, writtenProduct } from './written-product.ts';

const stops = (findings: readonly GapFinding[]): GapFinding[] =>
  findings.filter(({ severity }) => severity === 'stop');
const codesOf = (findings: readonly GapFinding[]): string[] =>
  [...new Set(stops(findings).map(({ code }) => code))].sort();

test('there are at least 80 plants, at least five for each code, and at least 40 sound ones', () => {
  expect(plantedCorpus.length).toBeGreaterThanOrEqual(80);
  expect(soundCorpus.length).toBeGreaterThanOrEqual(40);
  const codes = [...gapRules.arrival, ...gapRules.course, ...gapRules.patterns].map(({ code }) => code);
  expect(codes).toHaveLength(10);
  for (const code of codes) {
    expect(plantedCorpus.filter(({ told }) => told.includes(code)).length, code).toBeGreaterThanOrEqual(5);
  }
});

describe('sound', () => {
  test.each(soundCorpus)('$name', ({ product }) => {
    const result = checkGaps(productSchema.parse(product));
    expect(stops(result.findings)).toEqual([]);
    expect(result).toMatchObject({
      sound: true,
      complete: true,
      statement: 'checked for gaps; not a safety approval',
    });
    expect(result.times.bounded).toBe(true);
    expect(disagreement(judge(product), result)).toEqual([]);
  });
});

describe('one fault planted', () => {
  test.each(plantedCorpus)('$told: $name', ({ product, told, where, steps: length }) => {
    const result = checkGaps(productSchema.parse(product));
    expect(codesOf(result.findings)).toEqual([...told].sort());
    const found = stops(result.findings).filter(
      ({ code, where: place }) => code === told[0] && place === where,
    );
    expect(found.length).toBeGreaterThanOrEqual(1);
    // Where the fault shows at the step arrived at, that step stands last in the way, behind those done before it.
    const own = told[0] === 'never-true' || told[0] === 'busy-broken' || told[0] === 'runs-off' ? 0 : 1;
    if (length !== undefined)
      expect(Math.min(...found.map(({ way }) => (way?.length ?? Number.NaN) - own))).toBe(length);
    expect(result.sound).toBe(false);
    expect(disagreement(judge(product), result)).toEqual([]);
  });
});

describe('a rule taken out is missed', () => {
  const without = (code: string): GapRules => ({
    arrival: gapRules.arrival.filter((rule) => rule.code !== code),
    course: gapRules.course.filter((rule) => rule.code !== code),
    patterns: gapRules.patterns.filter((rule) => rule.code !== code),
  });
  const codes = [...gapRules.arrival, ...gapRules.course, ...gapRules.patterns].map(({ code }) => code);
  test.each(codes)('%s', (code) => {
    const missed = plantedCorpus.filter(({ product, told }) => {
      const { findings } = checkGaps(productSchema.parse(product), { rules: without(code) });
      return codesOf(findings).join() !== [...told].sort().join();
    });
    expect(missed.length).toBeGreaterThanOrEqual(5);
  });
});

describe('the judge catches what is planted by itself', () => {
  const judged = plantedCorpus.filter(({ told }) => !told.includes('patterns-alike'));
  test.each(judged)('$told: $name', ({ product, told }) => {
    const codes = new Set([...judge(product).shortest.keys()].map((key) => key.split(' ')[0]));
    expect([...codes].sort()).toEqual([...told].sort());
  });
});

describe('what is told', () => {
  const lean = {
    positions: {
      lid: { states: ['shut', 'open'], starts: 'shut', ends: 'shut' },
      card: { states: ['out', 'in'], starts: 'out', ends: 'out' },
    },
    never: [],
    whileBusy: {},
  };
  const wayBack = (needs: string): string => `
- { id: lift, do: Lift the lid, sets: { lid: open } }
- { id: insert, do: Put the card in, sets: { card: in } }
- { id: look, watch: { taken: restart, turned-down: take-out }, within: 5min, late: take-out, unlisted: take-out }
- { id: restart, do: Lower the lid and restart, needs: { ${needs} }, sets: { lid: shut } }
- { id: done, end: updated, leaves: { card: in } }
- { id: take-out, do: Take the card out, sets: { card: out, lid: shut } }
- { id: bad, end: failed }
`;

  test('a shortest way in words', () => {
    const { findings } = checkGaps(productOf({ ...lean, procedure: steps(wayBack('card: out')) }));
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({
      code: 'needs-fails',
      severity: 'stop',
      summary: '`restart` needs the card out, but can be reached with the card in',
      seen: '3 steps (`lift`, `insert`, `look` shows `taken`); then `restart` is reached while the card is in',
      where: 'restart',
      position: 'card',
      keys: ['procedure', 3, 'needs', 'card'],
      way: ['lift', 'insert', 'look', 'restart'],
    });
  });

  test('two needs of one step are told one by one', () => {
    const { findings } = checkGaps(productOf({ ...lean, procedure: steps(wayBack('card: out, lid: shut')) }));
    expect(findings.map(({ position }) => position)).toEqual(['card', 'lid']);
  });

  test('a long plain stretch is shortened, its branches are not', () => {
    const plain = 'abcdefgh'.split('').map((id) => ({ id, do: 'Something' }));
    const procedure = [
      ...plain,
      ...steps(
        '- { id: look, read: version, other: bad, unreadable: bad }\n- { id: done, end: updated }\n- { id: bad, end: failed }',
      ),
    ];
    (procedure[9] as { leaves?: object }).leaves = { lid: 'open' };
    const { findings } = checkGaps(productOf({ ...lean, procedure }));
    expect(findings[0]?.seen).toBe(
      "9 steps (`a`, … 6 more …, `h`, `look` gives the release's version); then the end `done` is reached while the lid is shut",
    );
  });

  test('the ends say what they leave, and what of it is not as it should stand', () => {
    const { ends, states } = checkGaps(productOf({ ...lean, procedure: steps(wayBack('card: in')) }));
    expect(ends).toEqual([
      { step: 'done', kind: 'updated', leaves: { lid: 'shut', card: 'in' }, unlikeEnds: ['card'] },
      { step: 'bad', kind: 'failed', leaves: { lid: 'shut', card: 'out' }, unlikeEnds: [] },
    ]);
    // lift, insert, look, restart, done, take-out, bad; take-out and bad once with the unit busy: it is not.
    expect(states).toBe(7);
  });

  test('more states than the limit: told, and not sound', () => {
    const product = productOf({ ...lean, procedure: steps(wayBack('card: in')) });
    expect(checkGaps(product, { limit: 7 })).toMatchObject({ sound: true, complete: true });
    const result = checkGaps(product, { limit: 6 });
    expect(result).toMatchObject({ sound: false, complete: false, states: 6 });
    expect(result.findings.map(({ code }) => code)).toEqual(['too-many-states']);
  });

  test('a watch that names itself is no loop, a time-out that does is one', () => {
    const looks = (late: string) => `
- { id: look, watch: { loading: look, taken: done }, within: 5min, late: ${late}, unlisted: look }
- { id: done, end: updated }
- { id: bad, end: failed }
`;
    const product = (late: string) => productOf({ ...lean, procedure: steps(looks(late)) });
    expect(checkGaps(product('bad')).findings).toEqual([]);
    expect(
      checkGaps(product('look'))
        .findings.map(({ code }) => code)
        .sort(),
    ).toEqual(['end-missing', 'loop-unbounded', 'step-unreachable']);
  });

  test('two loops apart are two findings', () => {
    const { findings } = checkGaps(
      productOf({
        ...lean,
        procedure: steps(`
- { id: first, confirm: serves, otherwise: first }
- { id: second, confirm: serves, otherwise: second }
- { id: look, read: version, other: bad }
- { id: done, end: updated }
- { id: bad, end: failed }
`),
      }),
    );
    expect(findings.map(({ code, where }) => `${code} ${where}`)).toEqual([
      'loop-unbounded first',
      'loop-unbounded second',
    ]);
  });

  test('a way as long as the procedure allows is still printed short', () => {
    const many = Array.from({ length: 60 }, (_, i) => ({ id: `m${i}`, confirm: 'serves', otherwise: 'bad' }));
    const procedure = [...many, ...steps('- { id: done, end: updated }\n- { id: bad, end: failed }')];
    const { findings } = checkGaps(productOf({ ...lean, procedure }));
    expect(findings[0]?.code).toBe('update-unseen');
    expect(findings[0]?.way).toHaveLength(61);
    expect(findings[0]?.seen?.length).toBeLessThan(600);
  });
});

test('the written product of these tests is one that the schema takes', () => {
  expect(
    productSchema.safeParse(writtenProduct({ procedure: steps('- { id: done, end: updated }') })).success,
  ).toBe(true);
});
