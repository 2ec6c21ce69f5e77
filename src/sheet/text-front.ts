// The front of the sheet as text: its number, the cautions first of all, then where the procedure comes from and
// as of when, the time, what to bring, the units, and how things stand.

import {
  bringItems,
  type CautionGroup,
  cautionGroups,
  type Field,
  orderText,
  rulesContent,
  sourceFields,
  timeSayings,
  unitLines,
} from './content/front-content.ts';
import { columnWidth, fold, foldAfter, padColumns } from './fold.ts';
import type { Block } from './pages.ts';
import { blankAfter, fieldLines, heading, paragraphLines, type TextForm, tableLines } from './text-form.ts';

/** Left and right on one line, or one below the other. */
function sides(form: TextForm, left: string, right: string): string[] {
  const gap = form.width - columnWidth(left) - columnWidth(right);
  if (gap >= 2) return [left + ' '.repeat(gap) + right];
  return [...fold(left, form.width), ...fold(right, form.width)];
}

export function headBlock({ view, words, width }: TextForm): Block {
  const form = { view, words, width };
  const { head } = words;
  return {
    lines: [
      ...sides(form, `${head.sheet}  ${view.number}`, head.made(view.made.day, view.made.time)),
      ...sides(
        form,
        `${view.product.name}, ${head.maker(view.product.maker)}`,
        view.made.by === null ? '' : head.by(view.made.by),
      ),
      ...fold(`${head.work(view.release.version)} (${view.release.id})`, width),
      ...fold(view.byHand ? head.oneUnit : head.units(view.units.length), width),
    ],
  };
}

export function cautionBlocks(form: TextForm): Block[] {
  const { view, words } = form;
  const item = ({ number, title, text }: CautionGroup['items'][number]): Block => ({
    lines: foldAfter(
      `  ${String(number).padStart(2)}. `,
      `${title.toUpperCase()} ${text}`.trim(),
      form.width,
    ),
  });
  const saying = (text: string): Block => ({ lines: ['', ...paragraphLines(form, text)], withNext: true });
  return [
    heading(form, words.sections.cautions),
    {
      lines: [
        ...paragraphLines(form, words.cautions.readAloud),
        ...blankAfter(form, words.cautions.emergency, { indent: 2, labelColumns: 32 }),
        ...blankAfter(form, words.cautions.secondPerson, { indent: 2, labelColumns: 32 }),
        '',
      ],
      withNext: true,
    },
    ...cautionGroups(view, words).flatMap(({ intro, items }) => [
      ...(intro === null ? [] : [saying(intro)]),
      ...items.map(item),
    ]),
  ];
}

export function sourceBlocks(form: TextForm): Block[] {
  const both = sourceFields(form.view, form.words);
  const nameOf = ({ label, warning }: Field) => (warning ? `! ${label}` : label);
  const labelColumns = Math.max(12, ...both.flat().map((field) => columnWidth(nameOf(field))));
  const lines = (fields: readonly Field[]) =>
    fields.flatMap((field) => fieldLines(form, nameOf(field), field.text, labelColumns));
  return [heading(form, form.words.sections.source), ...both.map((fields) => ({ lines: lines(fields) }))];
}

export function timeBlocks(form: TextForm): Block[] {
  const lines = timeSayings(form.view, form.words).flatMap(({ text }) => paragraphLines(form, text));
  return [heading(form, form.words.sections.time), { lines }];
}

export function bringBlocks(form: TextForm): Block[] {
  const lines = bringItems(form.view, form.words).flatMap((item) => foldAfter('  [ ] ', item, form.width));
  return [heading(form, form.words.sections.bring), { lines }];
}

export function unitsBlocks(form: TextForm): Block[] {
  const { view, words, width } = form;
  if (view.byHand) return [];
  const { units } = words;
  const order = orderText(view, words);
  const fixed = { row: columnWidth(units.row), revision: columnWidth(units.revision) };
  const room = width - 2 - 16 - fixed.row - fixed.revision;
  const serial = Math.min(
    Math.floor(room * 0.4),
    Math.max(8, ...view.units.map((u) => columnWidth(u.serial ?? ''))),
  );
  const site = Math.floor((room - serial) / 2);
  const columns = [
    { title: units.row, width: fixed.row },
    { title: units.serial, width: serial },
    { title: units.revision, width: fixed.revision },
    { title: units.site, width: site },
    { title: units.last, width: room - serial - site },
  ];
  const known = unitLines(view, words);
  const rows = known.map(({ row, serial, revision, site, last }) => [
    [String(row)],
    [serial],
    [revision],
    [site],
    last,
  ]);
  const details = known.flatMap((unit) =>
    unit.details === ''
      ? []
      : foldAfter(`  ${padColumns(`${units.row} ${unit.row}`, fixed.row + 3)}  `, unit.details, width),
  );
  return [
    heading(form, words.sections.units),
    { lines: tableLines(2, columns, rows), continued: `  ${words.sections.units}, ${words.head.continued}` },
    ...(details.length > 0 ? [{ lines: details }] : []),
    ...(order === null ? [] : [{ lines: paragraphLines(form, order) }]),
  ];
}

export function rulesBlocks(form: TextForm): Block[] {
  const { view, words } = form;
  const { starts, never, whileBusy } = rulesContent(view, words);
  const said = (intro: string, items: readonly string[], lead: string) =>
    items.length === 0
      ? []
      : [...paragraphLines(form, intro), ...items.flatMap((item) => foldAfter(lead, item, form.width))];
  const lines = [
    ...said(words.rules.starts, starts, '    [ ] '),
    ...said(words.rules.never, never, '     -  '),
    ...(whileBusy === null ? [] : paragraphLines(form, whileBusy)),
  ];
  if (lines.length === 0) return [];
  return [heading(form, words.sections.rules), { lines }];
}
