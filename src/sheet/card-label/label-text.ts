// Labels as text, each in a frame to be cut out along.

import { wrap } from '../../words/wrap.ts';
import type { CardLabel } from './card-label.ts';

const columns = 44;

export function renderLabelText(labels: readonly CardLabel[]): string {
  const edge = `+${'-'.repeat(columns + 2)}+`;
  return labels
    .map(({ name, lines }) => {
      const inside = [name, ...lines].flatMap((line) => wrap(line, columns, '  ', '').split('\n'));
      return [edge, ...inside.map((line) => `| ${line.padEnd(columns)} |`), edge].join('\n');
    })
    .join('\n\n');
}
