// The slip for the customer as text: one page to leave on site, or as many as the units need.

import type { ResultField } from './content/back-content.ts';
import { type SlipContent, type SlipUnit, slipContents } from './content/slip-content.ts';
import { fold, foldAfter } from './fold.ts';
import { languages } from './language.ts';
import { type Block, layOut, linesPerPage } from './pages.ts';
import type { SheetView } from './sheet-view.ts';
import { blankAfter, heading, paragraphLines, sheetColumns, type TextForm } from './text-form.ts';
import { fieldLines } from './text-results.ts';

function unitBlock(form: TextForm, unit: SlipUnit): Block {
  const { slip } = form.words;
  const write = (label: string) => blankAfter(form, label, { indent: 2 });
  return {
    lines: [
      '',
      ...(unit.title === '' ? [] : [unit.title]),
      ...unit.fields.flatMap((field) => fieldLines(field, form)),
      ...(unit.stands.length === 0 ? [] : paragraphLines(form, slip.stands)),
      ...unit.stands.flatMap((field) => fieldLines(field, form)),
      ...unit.doNot.flatMap(write),
    ],
  };
}

function slipBlocks(form: TextForm, says: SlipContent): Block[] {
  const { width } = form;
  const { slip } = form.words;
  const fields = (all: readonly ResultField[]) => all.flatMap((field) => fieldLines(field, form));
  const dash = (text: string) => foldAfter('  -  ', text, width);
  return [
    {
      newPage: true,
      lines: [
        ...fold(`${says.title}   ${says.head}`, width),
        ...fold(says.equipment, width),
        ...fields(says.visit),
        ...fold(says.intro, width),
      ],
    },
    ...says.units.map((unit) => unitBlock(form, unit)),
    heading(form, slip.rules),
    {
      lines: [
        ...dash(says.leave),
        ...says.rules.flatMap(dash),
        ...(says.never === null ? [] : dash(says.never.intro)),
        ...(says.never?.items ?? []).flatMap((text) => foldAfter('       ', text, width)),
        ...(says.writing === null ? [] : foldAfter('  [ ] ', says.writing, width)),
      ],
    },
    heading(form, slip.ring),
    {
      lines: [...paragraphLines(form, says.ring.when), ...fields(says.ring.numbers), ...fields(says.signed)],
    },
  ];
}

export function renderSlipText(view: SheetView): string {
  const form: TextForm = { view, words: languages[view.language], width: sheetColumns };
  const { slip } = form.words;
  const blocks = slipContents(view, form.words).flatMap((says) => slipBlocks(form, says));
  const foot = (page: number, pages: number) => slip.foot(view.number, page, pages);
  return layOut(blocks, { height: linesPerPage, foot })
    .map((lines) => lines.map((line) => line.replaceAll('\u00a0', ' ').trimEnd()).join('\n'))
    .join('\n\f')
    .concat('\n');
}
