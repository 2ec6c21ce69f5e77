// `record rebuild`: adds every unit up anew from its entries alone. The entries are not touched.

import { counted } from '../words/counted.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { Answer } from './command.ts';
import type { Context } from './context.ts';
import { stopPoint } from './stop-point.ts';

const maxShown = 20;

export async function run(context: Context): Promise<Answer> {
  if ((await context.record('read')) === undefined) {
    throw new Failure({
      code: 'record-missing',
      exit: 2,
      summary: 'There is no record yet.',
      where: context.workspace.record,
      next: 'Check --workspace.',
    });
  }
  const { units, differed } = await (await context.record('write')).rebuild(() =>
    stopPoint(context, 'nothing was changed'),
  );
  const shown = differed.slice(0, maxShown).map((serial) => printable(serial));
  const more = differed.length > maxShown ? ` and ${differed.length - maxShown} more` : '';
  return {
    exit: 0,
    json: { units, differed },
    text:
      differed.length === 0
        ? `${counted(units, 'unit')} added up anew; all were right.`
        : `${counted(units, 'unit')} added up anew; these were wrong: ${shown.join(', ')}${more}.`,
  };
}
