// Where the check for gaps and its judge differ, as lines to print: faults that only one of them tells, and
// ways that are longer than the shortest or are none. Patterns are not the judge's matter.

import type { GapCheck } from '../../../src/procedure/check-gaps.ts';
import type { GapFinding } from '../../../src/procedure/gap-finding.ts';
import { judge } from './gap-judge.ts';
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

export function disagreement(product: Written, result: GapCheck, mostWalks?: number): string[] {
  const judged = judge(product, mostWalks);
  if (!judged.finished) return ['the judge did not finish'];
  const lines: string[] = [];
  // Loops apart are told one by one; the judge knows the shortest of all.
  const told = new Map<string, GapFinding>();
  for (const finding of result.findings) {
    if (finding.code.startsWith('patterns-')) continue;
    const key = keyOf(finding);
    const before = told.get(key);
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
