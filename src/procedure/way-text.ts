// A way through the procedure in the reader's words: how many steps, which, and how each branch was taken.
// Plain stretches are shortened, branches never are until there are very many.

import { counted } from '../words/counted.ts';
import type { Move } from './state-space.ts';
import type { Holding, StepExit, StepGraph } from './step-graph.ts';

const mostPieces = 16;

export function exitText(id: string, exit: StepExit): string {
  const step = `\`${id}\``;
  switch (exit.reason) {
    case 'done':
      return step;
    case 'passes':
      return `${step} passes`;
    case 'does-not-pass':
      return `${step} does not pass`;
    case 'no-tries-left':
      return `${step} has no tries left`;
    case 'lights':
      return `${step} shows \`${exit.pattern}\``;
    case 'late':
      return `${step} runs out of time`;
    case 'unlisted':
      return `${step} shows lights that it does not list`;
    case 'release-version':
      return `${step} gives the release's version`;
    case 'other-version':
      return `${step} gives another version`;
    case 'unreadable':
      return `${step} cannot be read`;
  }
}

/** `7 steps (\`stop\`, … 4 more …, \`look\` shows \`taken\`); then` and `At the beginning` for none. */
export function wayText(graph: StepGraph, way: readonly Move[]): string {
  if (way.length === 0) return 'at the very beginning';
  const pieces: string[] = [];
  const text = (at: number): string => exitText(graph.steps[way[at]!.step]!.id, way[at]!.exit);
  for (let i = 0; i < way.length; ) {
    let end = i;
    while (end < way.length && way[end]!.exit.reason === 'done') end += 1;
    if (end - i > 4) {
      pieces.push(text(i), `… ${end - i - 2} more …`, text(end - 1));
      i = end;
    } else {
      pieces.push(text(i));
      i += 1;
    }
  }
  if (pieces.length > mostPieces) pieces.splice(mostPieces / 2, pieces.length - mostPieces, '…');
  return `${counted(way.length, 'step')} (${pieces.join(', ')}); then`;
}

/** `the card is in and the array is connected` */
export function holdingsText(graph: StepGraph, holdings: readonly Holding[]): string {
  return holdings.map((holding) => holdingText(graph, holding, ' is')).join(' and ');
}

/** `the card in`, or `the card is in` with ` is` given. */
export function holdingText(graph: StepGraph, { axis, state }: Holding, is = ''): string {
  const position = graph.axes[axis]!;
  return `the ${position.name}${is} ${position.states[state]}`;
}
