// `record mark`: the newest entry of each laptop and the beginning of its hash, to be written down elsewhere: a
// chain that was cut or made anew no longer fits it.

import { formatMark } from '../record/mark-text.ts';
import type { Answer } from './command.ts';
import type { Context } from './context.ts';

export async function run(context: Context): Promise<Answer> {
  const store = await context.record('read');
  const marks = (await store?.marks()) ?? [];
  const text =
    marks.length === 0
      ? 'There is no entry yet, so there is no mark.'
      : [...marks.map(formatMark), 'Keep it on paper; record check --mark compares it later.'].join('\n');
  return { exit: 0, json: { laptop: store?.laptop || null, marks }, text };
}
