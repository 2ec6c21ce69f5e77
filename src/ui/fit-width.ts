// Breaks what is printed at a terminal between words, where a line is wider than the window: a terminal would
// break it anywhere. Colour codes count for nothing. An object of JSON counts as one word: it may be copied from the
// screen. Files, pipes and answers that are data are never handed in.

import { objectOfJson } from '../words/wrap.ts';

const colourCode = /\u001b\[[0-9;]*m/g;

const word = new RegExp(` *(?:${objectOfJson}|[^ ]+)`, 'g');

const widthOf = (text: string) => [...text.replace(colourCode, '')].length;

function breakLine(line: string, columns: number): string {
  if (widthOf(line) <= columns) return line;
  const indent = /^ */.exec(line)?.[0] ?? '';
  const hanging = indent.length + 2 < columns / 2 ? `${indent}  ` : '';
  const lines: string[] = [];
  let current = indent;
  let empty = true;
  // Runs of blanks stay as they are within a line: columns stand where they stood.
  for (const part of line.slice(indent.length).match(word) ?? []) {
    if (!empty && widthOf(current) + widthOf(part) > columns) {
      lines.push(current);
      current = hanging + part.trimStart();
    } else {
      current += part;
    }
    empty = false;
  }
  return [...lines, current].join('\n');
}

/** A word wider than the window stays whole: a cut path or digest is worse than a long line. */
export function fitWidth(text: string, columns: number): string {
  return text
    .split('\n')
    .map((line) => breakLine(line, columns))
    .join('\n');
}
