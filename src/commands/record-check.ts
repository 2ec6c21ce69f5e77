// `record check`: is the record whole and unchanged? Reads everything, changes nothing. `--mark` compares with
// a mark that was kept elsewhere: only so is a chain found out that was cut together with its own notes. Photos and
// result files that entries name by digest are read, too.

import type { Mark, RecordCheck, RecordStore } from '../ports/record-store.ts';
import { checkChain } from '../record/check-chain.ts';
import { formatMark } from '../record/mark-text.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { hasStop } from '../words/finding.ts';
import { checkEvidence, type EvidenceCheck, notToItsEnd } from './check-evidence.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { stopPoint } from './stop-point.ts';
import { requireNoSlip, typedMarks } from './typed-marks.ts';

export async function run(
  context: Context,
  _positionals: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const known = typedMarks(Array.isArray(options.mark) ? options.mark : []);
  const store = await context.record('read');
  if (store !== undefined) await requireNoSlip(store, known);
  const { entries, units, marks, ...found } =
    store === undefined ? nothingYet(known) : await checked(context, store, known);
  const evidence = store === undefined ? nothingKept : await checkEvidence(context, store);
  const findings = [...found.findings, ...evidence.findings];
  const isDamaged = hasStop(findings);
  const ending = isDamaged
    ? 'The record is DAMAGED.'
    : `The record is intact: ${counted(entries, 'entry', 'entries')}, ${counted(units, 'unit')}, ${counted(marks.length, 'laptop')}.`;
  return {
    exit: isDamaged ? 3 : 0,
    json: {
      verdict: isDamaged ? 'damaged' : 'intact',
      entries,
      units,
      marks,
      evidence: evidence.sound,
      findings,
    },
    text: [
      ...(findings.length === 0 ? [] : [renderFindings(findings, context.terminal)]),
      ...marks.map((mark) => `Mark: ${formatMark(mark)}`),
      ...(evidence.sound === 0
        ? []
        : [`Photos and result files, unchanged: ${evidence.sound} in ${context.workspace.evidence}`]),
      ending,
    ].join('\n'),
  };
}

async function checked(context: Context, store: RecordStore<UnitRecord>, known: readonly Mark[]) {
  const progress = context.terminal.progress('checking', 'steps');
  try {
    return await store.check(known, progress.at, () => stopPoint(context, notToItsEnd));
  } finally {
    progress.end();
  }
}

const nothingKept: EvidenceCheck = { sound: 0, findings: [] };

function nothingYet(known: readonly Mark[]): RecordCheck {
  return { entries: 0, units: 0, marks: [], findings: [...checkChain([], { ends: [], known })] };
}
