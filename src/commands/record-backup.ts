// `record backup`: the record in one file, as it stands at one moment, while others go on writing. The copy is checked
// before it gets its name: a damaged record gives no back-up. Evidence and kept files are not in it, and it says so.

import { formatMark } from '../record/mark-text.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { hasStop } from '../words/finding.ts';
import { formatSize } from '../words/size.ts';
import type { Answer } from './command.ts';
import type { Context } from './context.ts';
import { stopPoint } from './stop-point.ts';

const besides = ['evidence', 'kept', 'sheets', 'manifests'] as const;

export async function run(context: Context, [given]: readonly (string | undefined)[]): Promise<Answer> {
  const { files, workspace } = context;
  const path = files.absolute(given ?? '');
  const pause = () => stopPoint(context, 'no back-up was made');
  const { bytes, check } = await (await context.recordFile()).backUp(path, pause);
  const { entries, units, marks, findings } = check;
  const isDamaged = hasStop(findings);
  const notIn = besides.map((name) => ({
    folder: workspace[name],
    files: files.list(workspace[name]).length,
  }));
  const others = notIn.filter(({ files: count }) => count > 0);
  return {
    exit: isDamaged ? 3 : 0,
    json: {
      verdict: isDamaged ? 'damaged' : 'intact',
      path: isDamaged ? null : path,
      bytes: isDamaged ? null : bytes,
      entries,
      units,
      marks,
      notIncluded: notIn,
      findings,
    },
    text: [
      ...(findings.length === 0 ? [] : [renderFindings(findings, context.terminal)]),
      ...(isDamaged
        ? [
            'Save what can be saved: slotproof record salvage FILE.',
            'The record is DAMAGED: no back-up was made.',
          ]
        : [
            ...marks.map((mark) => `Mark: ${formatMark(mark)}`),
            ...others.map(
              (other) => `Not in it, copy it too: ${other.folder} (${counted(other.files, 'file')})`,
            ),
            `Backed up and checked: ${counted(entries, 'entry', 'entries')}, ${formatSize(bytes)}: ${path}`,
          ]),
    ].join('\n'),
  };
}
