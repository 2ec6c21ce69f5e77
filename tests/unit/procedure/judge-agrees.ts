// Where the check for gaps and its judge differ, as lines to print: faults that only one of them tells, and
// ways that are longer than the shortest or are none. Patterns are not the judge's matter.

import { expect } from 'vitest';
import { productSchema } from '../../../src/manifest/schema.ts';
import { checkGaps, type GapCheck } from '../../../src/procedure/check-gaps.ts';
import type { GapFinding } from '../../../src/procedure/gap-finding.ts';
import { type Judged, judge } from './gap-judge.ts';
import type { Written } from './written-product.ts';

function keyOf(finding: GapFinding): string {
  switch (finding.code) {
    case 'needs-fails':
    case 'end-state':
      return `${finding.code} ${finding.where} ${finding.position}`;
    case 'busy-broken':
      return `${finding.code} ${finding.position}`;
    case 'never-true':
      return `${finding.code} ${finding.neverRule}`;
    case 'end-missing':
      return `${finding.code} ${/`(\w+)` end/.exec(finding.summary)?.[1]}`;
    case 'runs-off':
    case 'loop-unbounded':
      return finding.code;
    default:
      return `${finding.code} ${finding.where}`;
  }
}

export function disagreement(judged: Judged, result: GapCheck): string[] {
  if (!judged.finished) return ['the judge did not finish'];
  const lines: string[] = [];
  if (result.states !== judged.states) lines.push(`${result.states} states, the judge has ${judged.states}`);
  const ends = new Map(
    result.times.ends.map(({ end, shortest, longest }) => [end as string, { shortest, longest }]),
  );
  if (result.times.bounded === judged.shortest.has('loop-unbounded'))
    lines.push('only one of them has a longest time');
  if (result.times.bounded) {
    if (ends.size !== judged.seconds.size) lines.push('times of other ends');
    for (const [end, { least, most }] of judged.seconds) {
      const told = ends.get(end);
      if (told?.shortest.seconds !== least)
        lines.push(`${end}: shortest ${told?.shortest.seconds}, the judge has ${least}`);
      if (told?.longest.seconds !== most)
        lines.push(`${end}: longest ${told?.longest.seconds}, the judge has ${most}`);
    }
  }
  // Loops apart are told one by one; the judge knows the shortest of all.
  const told = new Map<string, GapFinding>();
  for (const finding of result.findings) {
    if (finding.code.startsWith('patterns-')) continue;
    const key = keyOf(finding);
    const before = told.get(key);
    if (before !== undefined && key !== 'loop-unbounded') lines.push(`${key} is told twice`);
    if (before === undefined || (finding.way?.length ?? 0) < (before.way?.length ?? 0))
      told.set(key, finding);
  }
  for (const key of judged.shortest.keys()) if (!told.has(key)) lines.push(`only the judge tells ${key}`);
  for (const [key, finding] of told) {
    const length = judged.shortest.get(key);
    if (length === undefined) lines.push(`only the check tells ${key}`);
    else if (finding.way !== undefined) {
      const way = finding.way.join(' ');
      if (judged.ways.get(key)?.has(way) !== true)
        lines.push(`${key}: ${way} is not among the shortest ways of ${length}`);
    } else if (length > 0 || (judged.ways.get(key)?.size === 1 && key.startsWith('needs'))) {
      lines.push(`${key}: the check shows no way, the judge has one of ${length}`);
    }
  }
  return lines;
}

/** Fails the test where they differ, naming the seed; undefined where the judge gave up after too many walks. */
export function compareWithJudge(product: Written, seed: number): GapCheck | undefined {
  const result = checkGaps(productSchema.parse(product));
  const lines = disagreement(judge(product, 20_000), result);
  if (lines[0] === 'the judge did not finish') return undefined;
  const again = `GAPS_SEED=${seed} npx vitest run --project default tests/property/check-gaps.test.ts`;
  expect(lines, `seed ${seed}; again: ${again}\n${JSON.stringify(product.procedure, null, 1)}`).toEqual([]);
  return result;
}
