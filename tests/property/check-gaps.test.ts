// Random procedures, judged by playing every walk: the same faults, the same shortest ways, the same number of
// states, the same times.

import { describe, expect, test } from 'vitest';
import type { GapCheck } from '../../src/procedure/check-gaps.ts';
import { soundCorpus } from '../unit/procedure/gap-corpus.ts';
import { compareWithJudge } from '../unit/procedure/judge-agrees.ts';
import { randomlyChanged, randomProduct } from '../unit/procedure/random-product.ts';

const first = Number(process.env.GAPS_SEED ?? 1);
const count = Number(process.env.GAPS_COUNT ?? (process.env.GAPS_SEED === undefined ? 600 : 1));

/** Every rule that the judge knows. */
const codes = [
  'needs-fails',
  'never-true',
  'busy-broken',
  'end-state',
  'step-unreachable',
  'end-missing',
  'loop-unbounded',
  'runs-off',
  'update-unseen',
];

function tally(results: readonly (GapCheck | undefined)[]): Map<string, number> {
  const counts = new Map<string, number>();
  const add = (key: string): void => void counts.set(key, (counts.get(key) ?? 0) + 1);
  for (const result of results) {
    if (result === undefined) continue;
    add('judged');
    if (result.sound) add('sound');
    for (const code of new Set(result.findings.map((finding) => finding.code))) add(code);
  }
  return counts;
}

describe(`from seed ${first}`, () => {
  test(`${count} random procedures: the check and the judge say the same`, () => {
    const results = Array.from({ length: count }, (_, i) =>
      compareWithJudge(randomProduct(first + i), first + i),
    );
    const counts = tally(results);
    if (count < 600) return;
    // The judge gives up on few, and every rule that it knows occurs often enough to mean something.
    expect(counts.get('judged')).toBeGreaterThan(count * 0.95);
    for (const code of codes) expect(counts.get(code) ?? 0, code).toBeGreaterThan(count * 0.03);
  });

  test(`${count / 2} sound procedures, each with one thing changed: the check and the judge say the same`, () => {
    const results = Array.from({ length: Math.ceil(count / 2) }, (_, i) => {
      const seed = first + i;
      return compareWithJudge(randomlyChanged(soundCorpus[seed % soundCorpus.length]!.product, seed), seed);
    });
    const counts = tally(results);
    if (count < 600) return;
    expect(counts.get('judged')).toBeGreaterThan(results.length * 0.85);
    expect(counts.get('sound')).toBeGreaterThan(results.length * 0.2);
    expect(counts.get('sound')).toBeLessThan(results.length * 0.8);
  });
});
