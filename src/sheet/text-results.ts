// The back of the sheet as text: what to do when it fails, and the rows to fill in, one a unit, in the order in
// which the record asks for them. The rows never show what the version read ought to be: it would be copied.

import { foldAfter, padColumns } from './fold.ts';
import type { Block } from './pages.ts';
import type { UnitRow } from './sheet-view.ts';
import { blankAfter, choiceLines, heading, paragraphLines, type TextForm } from './text-form.ts';
import { showsSentence } from './text-lights.ts';

export function failureBlocks(form: TextForm): Block[] {
  const { view, words } = form;
  const { failure } = words;
  const busy = view.patterns.filter((pattern) => pattern.busy);
  const point = (text: string) => foldAfter('  -  ', text, form.width);
  const { helpline } = view;
  const phone =
    helpline === null
      ? blankAfter(form, failure.noHelpline, { indent: 2 })
      : paragraphLines(
          form,
          [
            `${failure.helpline}:`,
            helpline.phone,
            ...(helpline.hours === null ? [] : [failure.hours(helpline.hours)]),
          ].join(' '),
        );
  return [
    heading(form, words.sections.failure),
    {
      lines: [
        ...point(failure.people),
        ...point(failure.stop),
        ...point(failure.writingUnknown),
        ...(busy.length > 0 ? point(failure.writing) : []),
        ...busy.flatMap((pattern) =>
          foldAfter('       ', `${showsSentence(pattern.shows, form)}.`, form.width),
        ),
        ...point(failure.note),
        ...point(failure.outcome),
        ...point(failure.helplineClosed),
        '',
        ...phone,
      ],
    },
  ];
}

const labelColumns = 20;

function rowBlock(unit: UnitRow, form: TextForm): Block {
  const { results, steps } = form.words;
  const lead = (label: string) => `  ${padColumns(label, labelColumns)}`;
  const write = (label: string) => blankAfter(form, label, { indent: 2, labelColumns });
  const choose = (label: string, choices: readonly string[]) => choiceLines(form, `${lead(label)} `, choices);
  const serial =
    unit.serial === null
      ? write(results.serial)
      : foldAfter(`${lead(results.serial)} `, unit.serial, form.width);
  return {
    lines: [
      '',
      `${steps.rowMark(unit.row, null)} ${'-'.repeat(form.width - steps.rowMark(unit.row, null).length - 1)}`,
      ...serial,
      ...foldAfter('  ', results.plate, form.width),
      ...write(results.versionBefore),
      ...write(results.versionRead),
      ...choose(results.outcome, results.outcomes),
      ...write(results.lights),
      ...choose(results.left, results.leftChoices),
      ...choose(results.reason, results.reasons),
      ...choose(results.cause, results.causes),
      ...write(results.card),
      ...write(results.caseNumber),
      ...write(results.told),
      ...write(results.by),
      ...write(results.time),
      ...write(results.note),
    ],
  };
}

export function resultsBlocks(form: TextForm): Block[] {
  return [
    heading(form, form.words.sections.results, true),
    { lines: paragraphLines(form, form.words.results.intro), withNext: true },
    ...form.view.units.map((unit) => rowBlock(unit, form)),
  ];
}
