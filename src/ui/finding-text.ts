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
  return alike(bySeverity(findings))
    .map((group) => renderAlike(group, look))
    .join('\n');
}

/** One after the other with the same words, found at different places. */
function alike(findings: readonly Finding[]): Finding[][] {
  const words = ({ severity, code, summary, seen, expected }: Finding) =>
    JSON.stringify([severity, code, summary, seen, expected]);
  const groups: Finding[][] = [];
  for (const finding of findings) {
    const group = groups.at(-1);
    if (group?.[0] !== undefined && words(group[0]) === words(finding)) group.push(finding);
    else groups.push([finding]);
  }
  return groups;
}

const mostInFull = 3;
const mostPlaces = 20;

/** Of many with the same words the first in full, and the places of the others. */
function renderAlike(group: readonly Finding[], look: Look): string {
  const [first, ...others] = group;
  const places = others.flatMap(({ where }) => where ?? []);
  if (first === undefined || others.length < mostInFull || places.length < others.length)
    return group.map((finding) => renderFinding(finding, look)).join('\n');
  const columns = Math.min(look.columns, 100);
  const left = places.length - mostPlaces;
  return [
    renderFinding(first, look),
    ...places.slice(0, mostPlaces).flatMap((place) => detail('the same:', place, columns)),
    ...(left > 0 ? detail('the same:', `and at ${left} more places (--json lists all)`, columns) : []),
  ].join('\n');
}
