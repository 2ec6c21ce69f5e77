// `record salvage`: what can be saved of a damaged record, in a new file that `record restore` takes. What is missing
// is told by laptop and place. Changes nothing of the record.

import type { SavedChain } from '../ports/record-file.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { Failure } from '../words/failure.ts';
import { type Finding, hasStop } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { stopPoint } from './stop-point.ts';

const maxShown = 40;

export async function run(
  context: Context,
  [given]: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { files, terminal } = context;
  const path = files.absolute(given ?? '');
  const further = (Array.isArray(options.with) ? options.with : []).map((name: string) =>
    files.absolute(name),
  );
  for (const file of further) if (files.facts(file) === undefined) files.readBytes(file, 1);
  const pause = () => stopPoint(context, 'nothing was written');
  const recordFile = await context.recordFile();
  const { chains, loosePath, useless, check } = await recordFile.salvage(path, further, pause);
  const isWhole = chains.every(({ missing, loose }) => missing.length === 0 && loose === 0);
  const isNeeded = !isWhole || (await entriesOfIntact(context)) !== check.entries;
  const findings = [...check.findings, ...useless.map(holdsNothing)];
  const lines = chains.flatMap(chainLines);
  return {
    exit: isWhole ? 0 : 4,
    json: {
      verdict: isWhole ? 'intact' : 'damaged',
      path,
      entries: check.entries,
      chains,
      loosePath: loosePath ?? null,
      needed: isNeeded,
      findings,
    },
    text: [
      ...(findings.length === 0 ? [] : [renderFindings(findings, terminal)]),
      ...lines.slice(0, maxShown),
      ...(lines.length > maxShown ? [`... and ${lines.length - maxShown} more (--json lists all).`] : []),
      ...(loosePath === undefined
        ? []
        : [`Entries behind a gap are kept in ${loosePath}; --with takes them, once the gap can be filled.`]),
      isNeeded
        ? `Next: slotproof record restore ${path} --set-aside`
        : 'The record itself is intact and holds as much: nothing has to be restored.',
      `${isWhole ? 'All saved' : 'Saved in part'}: ${counted(check.entries, 'entry', 'entries')} of ${counted(chains.length, 'laptop')}: ${path}`,
    ].join('\n'),
  };
}

/** undefined: the record is damaged, or there is none. */
async function entriesOfIntact(context: Context): Promise<number | undefined> {
  try {
    const check = await (await context.record('read'))?.check();
    return check === undefined || hasStop(check.findings) ? undefined : check.entries;
  } catch (error) {
    if (error instanceof Failure) return undefined;
    throw error;
  }
}

function holdsNothing(path: string): Finding {
  return {
    code: 'no-entry-in-file',
    severity: 'warn',
    summary: 'Not one entry was found in a file that was given with --with.',
    expected: 'a back-up, a copy of a record, or what an earlier salvage kept as loose',
    where: printable(path, 1000),
    next: 'See whether it is the file that was meant. A packet is taken in after the record is restored.',
  };
}

function chainLines({ laptop, missing, loose }: SavedChain): string[] {
  const name = printable(laptop);
  return [
    ...missing.map(({ fromSeq, toSeq }) =>
      fromSeq === toSeq ? `Missing: ${name}-${fromSeq}` : `Missing: ${name}-${fromSeq} to ${toSeq}`,
    ),
    ...(loose === 0 ? [] : [`Behind a gap: ${counted(loose, 'entry', 'entries')} of ${name}`]),
  ];
}
