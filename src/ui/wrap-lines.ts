// Lines whose leading blanks, list key or dash are kept, wrapped under their text.

import { wrap } from '../words/wrap.ts';

/** Longer lines are hard to follow, however wide the window is. */
export const mostColumns = 76;

export function wrapLines(lines: readonly string[], columns: number): string {
  const width = Math.min(columns, mostColumns);
  return lines
    .map((line) => {
      const lead = /^ *(?:[0-9a-z] {2}|[-!] )?/.exec(line)?.[0] ?? '';
      return wrap(line.slice(lead.length), width, ' '.repeat(lead.length), lead);
    })
    .join('\n');
}

/** The same, with an empty line before each that is not indented. */
export function wrapParagraphs(lines: readonly string[], columns: number): string {
  return lines
    .map((line, index) => `${index > 0 && !line.startsWith(' ') ? '\n' : ''}${wrapLines([line], columns)}`)
    .join('\n');
}
