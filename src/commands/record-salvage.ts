// `record salvage`: what can be saved of a damaged record, in a new file that `record restore` takes. What is missing
// is told by laptop and place. Changes nothing of the record.

import type { SavedChain } from '../ports/record-file.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';

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
  const { chains, loosePath, check } = await (await context.recordFile()).salvage(path, further);
  const isWhole = chains.every(({ missing, loose }) => missing.length === 0 && loose === 0);
  const lines = chains.flatMap(chainLines);
  return {
    exit: isWhole ? 0 : 4,
    json: {
      verdict: isWhole ? 'intact' : 'damaged',
      path,
      entries: check.entries,
      chains,
      loosePath: loosePath ?? null,
      findings: check.findings,
    },
    text: [
      ...(check.findings.length === 0 ? [] : [renderFindings(check.findings, terminal)]),
      ...lines.slice(0, maxShown),
      ...(lines.length > maxShown ? [`... and ${lines.length - maxShown} more (--json lists all).`] : []),
      ...(loosePath === undefined
        ? []
        : [`Entries behind a gap are kept in ${loosePath}; --with takes them, once the gap can be filled.`]),
      `Next: slotproof record restore ${path} --set-aside`,
      `${isWhole ? 'All saved' : 'Saved in part'}: ${counted(check.entries, 'entry', 'entries')} of ${counted(chains.length, 'laptop')}: ${path}`,
    ].join('\n'),
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
