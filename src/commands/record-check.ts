// `record check`: is the record whole and unchanged? Reads everything, changes nothing. `--mark` compares with
// a mark that was kept elsewhere: only so is a chain found out that was cut together with its own notes. Photos and
// result files that entries name by digest are read, too.

import type { Mark, RecordCheck, RecordStore } from '../ports/record-store.ts';
import { checkChain } from '../record/check-chain.ts';
import { formatMark, parseMark } from '../record/mark-text.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { Failure } from '../words/failure.ts';
import { hasStop } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import { checkEvidence, type EvidenceCheck } from './check-evidence.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';

export async function run(
  context: Context,
  _positionals: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const known = knownMarks(options.mark);
  const store = await context.record('read');
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

async function checked({ terminal }: Context, store: RecordStore<UnitRecord>, known: readonly Mark[]) {
  const progress = terminal.progress('checking', 'steps');
  try {
    return await store.check(known, progress.at);
  } finally {
    progress.end();
  }
}

const nothingKept: EvidenceCheck = { sound: 0, findings: [] };

function nothingYet(known: readonly Mark[]): RecordCheck {
  return { entries: 0, units: 0, marks: [], findings: [...checkChain([], { ends: [], known })] };
}

function knownMarks(value: OptionValues[string]): Mark[] {
  return (Array.isArray(value) ? value : []).map((text: string) => {
    const mark = parseMark(text);
    if (mark !== undefined) return mark;
    throw new Failure({
      code: 'mark-form',
      exit: 2,
      summary: 'This is no mark.',
      seen: printable(text, 100),
      expected: 'the id of an entry and at least 16 digits of its hash, in quotes',
      where: '--mark',
      next: 'Type it as it stands on the sheet.',
    });
  });
}
