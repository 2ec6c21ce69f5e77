// The lines of one step in characters: what to write down, what to see, and each way on. With several units on the
// sheet, whatever is written or ticked has a place for every row.

import type { StepLine } from './content/step-content.ts';
import { columnWidth, foldAfter } from './fold.ts';
import { blankAfter, choiceLines, paragraphLines, type TextForm, tableLines } from './text-form.ts';
import { showsCell } from './text-lights.ts';

export const bodyIndent = 9;
export const margin = ' '.repeat(bodyIndent);

type Line<K extends StepLine['kind']> = StepLine & { readonly kind: K };

export function below(form: TextForm, text: string): string[] {
  return paragraphLines(form, text, bodyIndent);
}

/** The same lines for each unit, headed by its row where there are several. */
function perRow(form: TextForm, lines: readonly string[]): string[] {
  const { units } = form.view;
  if (units.length === 1) return [...lines];
  return units.flatMap(({ row, lastFour }) => [
    ...below(form, `${form.words.steps.rowMark(row, lastFour)}:`),
    ...lines,
  ]);
}

/** One line to write on for each unit: `Row 2 (..4411): begun ____:____`. */
export function linePerRow(form: TextForm, text: string): string[] {
  const { units } = form.view;
  if (units.length === 1) return below(form, text);
  return units.flatMap(({ row, lastFour }) =>
    foldAfter(`${margin}${form.words.steps.rowMark(row, lastFour)}:  `, text, form.width),
  );
}

/** `1 [ ]  2 [ ]`, a box for each row. */
export function rowBoxes(form: TextForm, lead: string): string[] {
  const rows = form.view.units.map(({ row }) => `${row} [ ]`);
  const leadColumns = columnWidth(lead);
  const perLine = Math.max(1, Math.floor((form.width - leadColumns + 2) / 8));
  const lines: string[] = [];
  for (let at = 0; at < rows.length; at += perLine) {
    lines.push(`${at === 0 ? lead : ' '.repeat(leadColumns)}${rows.slice(at, at + perLine).join('  ')}`);
  }
  return lines;
}

/** An item to tick: with several units it has a box for every row. */
function tickRowsLines(form: TextForm, item: string): string[] {
  if (form.view.units.length === 1) return foldAfter(`${margin}[ ] `, item, form.width);
  return [...foldAfter(`${margin} -  `, item, form.width), ...rowBoxes(form, `${margin}    `)];
}

function watchLines(form: TextForm, { titles, rows }: Line<'watch'>): string[] {
  const { steps } = form.words;
  const goColumns = Math.max(
    columnWidth(steps.stay),
    columnWidth(steps.goTo(999)),
    columnWidth(steps.doThis),
  );
  // Four rules and a blank on each side of three cells.
  const room = form.width - bodyIndent - 10 - goColumns;
  const seeColumns = Math.ceil(room * 0.58);
  const widths = [seeColumns, room - seeColumns, goColumns];
  const columns = titles.map((title, at) => ({ title, width: widths[at] ?? goColumns }));
  const cells = rows.map(({ sees, means, go }) => [
    typeof sees === 'string' ? [sees] : showsCell(sees, form, seeColumns),
    means,
    [go],
  ]);
  return tableLines(bodyIndent, columns, cells);
}

export function stepLines(form: TextForm, line: StepLine): string[] {
  switch (line.kind) {
    case 'say':
      return below(form, line.text);
    case 'way':
      return foldAfter(`${margin}${line.when} `, line.go, form.width);
    case 'reading': {
      const end = line.end === null ? {} : { end: line.end };
      return blankAfter(form, line.label, { indent: bodyIndent + 4, width: 64, ...end });
    }
    case 'setting':
      return blankAfter(form, line.label, { indent: bodyIndent });
    case 'fill':
      return linePerRow(form, line.text);
    case 'tick':
      return foldAfter(`${margin}[ ] `, line.text, form.width);
    case 'tickRows':
      return tickRowsLines(form, line.text);
    case 'stand': {
      const lead = form.view.units.length === 1 ? `${margin}[ ] ` : `${margin} -  `;
      return foldAfter(lead, line.text, form.width);
    }
    case 'choose':
      return choiceLines(form, `${margin}${line.label}: `, line.choices);
    case 'watch':
      return watchLines(form, line);
    case 'eachRow':
      return perRow(
        form,
        line.lines.flatMap((one) => stepLines(form, one)),
      );
  }
}
