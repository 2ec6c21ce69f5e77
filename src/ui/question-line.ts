// A question as it stands before its answer: with how to leave, which is never broken in two where a window is narrow.

import { wrap } from '../words/wrap.ts';

const leave = '(Ctrl-C leaves)';
/** The mark before it, and what is put after it: `(y/N)` and the answer's first letters. */
const aroundIt = 12;

export function questionLine(question: string, columns: number): string {
  const line = `${question} ${leave}`;
  if ([...line].length + aroundIt <= columns) return line;
  return `${wrap(question, Math.max(20, columns - 4))}\n  ${leave}`;
}
