// `record restore`: a back-up becomes this workspace's record, under a new laptop id, so that two machines never append
// to one chain. A record that is there is moved aside on request and kept; it is never replaced.

import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { stopPoint } from './stop-point.ts';

export async function run(
  context: Context,
  [given]: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const source = context.files.absolute(given ?? '');
  context.workspace.make();
  const pause = () => stopPoint(context, 'nothing was restored, nothing moved');
  const recordFile = await context.recordFile();
  const done = await recordFile.restore(source, { setAside: options.setAside === true }, pause);
  if (!('check' in done)) {
    const { entries, units, marks, findings } = done;
    return {
      exit: 3,
      json: { verdict: 'damaged', entries, units, marks, findings },
      text: `${renderFindings(findings, context.terminal)}\nThe back-up is DAMAGED: nothing was restored, nothing moved.`,
    };
  }
  const { laptop, check, setAside, before } = done;
  const { entries, units, marks, findings } = check;
  const ends = new Map(marks.map((mark) => [mark.laptop, mark.seq]));
  const lacking = (before ?? [])
    .map((mark) => ({ laptop: mark.laptop, fromSeq: (ends.get(mark.laptop) ?? 0) + 1, toSeq: mark.seq }))
    .filter(({ fromSeq, toSeq }) => toSeq >= fromSeq);
  return {
    exit: 0,
    json: { verdict: 'intact', laptop, entries, units, marks, setAside: setAside ?? null, lacking, findings },
    text: [
      ...(findings.length === 0 ? [] : [renderFindings(findings, context.terminal)]),
      ...lacking.map(
        (gap) => `Not in the back-up, but in the record before: ${gap.laptop}-${gap.fromSeq} to ${gap.toSeq}`,
      ),
      ...(setAside === undefined ? [] : [`The record that was here lies in ${setAside}`]),
      `Restored: ${counted(entries, 'entry', 'entries')}, ${counted(units, 'unit')}. It goes on under the laptop id ${laptop}.`,
    ].join('\n'),
  };
}
