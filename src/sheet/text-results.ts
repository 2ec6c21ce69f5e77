// The back of the sheet as text: what to do when it fails, and the rows to fill in, one a unit, in the order in
// which the record asks for them. The rows never show what the version read ought to be: it would be copied.

import { failureContent, type ResultField, resultFields } from './content/back-content.ts';
import { foldAfter, padColumns } from './fold.ts';
import type { Block } from './pages.ts';
import type { UnitRow } from './sheet-view.ts';
import { blankAfter, choiceLines, heading, paragraphLines, type TextForm } from './text-form.ts';

export function failureBlocks(form: TextForm): Block[] {
  const { points, helpline } = failureContent(form.view, form.words);
  const phone =
    helpline.number === null
      ? blankAfter(form, helpline.label, { indent: 2 })
      : paragraphLines(form, `${helpline.label} ${helpline.number}`);
  return [
    heading(form, form.words.sections.failure),
    {
      lines: [
        ...points.flatMap(({ text, list }) => [
          ...foldAfter('  -  ', text, form.width),
          ...list.flatMap((item) => foldAfter('       ', item, form.width)),
        ]),
        '',
        ...phone,
      ],
    },
  ];
}

const labelColumns = 20;

/** A field to fill in, its label filled up so that what is written stands below each other. */
export function fieldLines(field: ResultField, form: TextForm): string[] {
  if (field.kind === 'fill') return foldAfter('  ', field.text, form.width);
  const lead = `  ${padColumns(field.label, labelColumns)} `;
  switch (field.kind) {
    case 'write':
      return blankAfter(form, field.label, { indent: 2, labelColumns });
    case 'choose':
      return choiceLines(form, lead, field.choices);
    case 'given':
      return foldAfter(lead, field.text, form.width);
  }
}

function rowBlock(unit: UnitRow, form: TextForm): Block {
  const row = form.words.steps.rowMark(unit.row, null);
  return {
    lines: [
      '',
      `${row} ${'-'.repeat(form.width - row.length - 1)}`,
      ...resultFields(unit, form.words).flatMap((field) => fieldLines(field, form)),
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
