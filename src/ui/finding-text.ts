// Findings as people read them: severity in words, what was seen and expected, where, one next step; the most
// important last. Everything from outside is made safe to print here.

import { bySeverity, type Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';
import { type Colour, paint } from './paint.ts';

const colours: Record<Finding['severity'], Colour> = { stop: 'red', warn: 'yellow', note: 'dim' };

export interface Look {
  readonly columns: number;
  readonly colour: boolean;
}

const indent = '        ';

function detail(name: string, text: string | undefined, columns: number): string[] {
  return text === undefined ? [] : [wrap(`${name} ${printable(text, 1000)}`, columns, `${indent}  `, indent)];
}

export function renderFinding(finding: Finding, look: Look): string {
  const columns = Math.min(look.columns, 100);
  const label = finding.severity.toUpperCase().padEnd(5);
  // The first line begins behind the label, where the others are indented.
  const summary = wrap(`${printable(finding.summary, 1000)} [${finding.code}]`, columns, indent).slice(
    indent.length,
  );
  return [
    `  ${paint(label, colours[finding.severity], look.colour)} ${summary}`,
    ...detail('seen:', finding.seen, columns),
    ...detail('expected:', finding.expected, columns),
    ...detail('where:', finding.where, columns),
    ...detail('next:', finding.next, columns),
  ].join('\n');
}

export function renderFindings(findings: readonly Finding[], look: Look): string {
  return bySeverity(findings)
    .map((finding) => renderFinding(finding, look))
    .join('\n');
}
