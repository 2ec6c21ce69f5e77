// Where the lines of a step stand on a wide page: what to do at the left, what comes of it at the right, and below
// both, over the whole width, what needs it. Read left, right, below, they are all of its lines, each once.

import type { StepLine } from './step-content.ts';

export interface StepColumns {
  readonly left: readonly StepLine[];
  readonly right: readonly StepLine[];
  readonly below: readonly StepLine[];
}

/** Ways on and times. Times of several rows need the whole width. */
function comesOfIt({ kind }: StepLine, rows: number): boolean {
  return kind === 'way' || (kind === 'fill' && rows === 1);
}

/** What is written by hand, long rows of boxes, and tables. */
function needsWidth(line: StepLine, next: StepLine | undefined): boolean {
  return ['watch', 'eachRow', 'fill', 'stand'].includes(line.kind) || next?.kind === 'stand';
}

export function stepColumns(lines: readonly StepLine[], rows: number): StepColumns {
  const right = lines.filter((line) => comesOfIt(line, rows));
  const rest = lines.filter((line) => !comesOfIt(line, rows));
  const firstWide = rest.findIndex((line, at) => needsWidth(line, rest[at + 1]));
  const split = firstWide < 0 ? rest.length : firstWide;
  return { left: rest.slice(0, split), right, below: rest.slice(split) };
}
