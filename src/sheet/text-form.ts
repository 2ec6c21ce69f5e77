// What the parts of the text form share: the width, the words, and the few shapes they are built of (a heading,
// a paragraph, a field, a table). Plain ASCII of our own; every line fits the width.

import { columnWidth, fold, foldAfter, padColumns } from './fold.ts';
import type { SheetLanguage } from './language.ts';
import type { Block } from './pages.ts';
import type { SheetView } from './sheet-view.ts';

export interface TextForm {
  readonly view: SheetView;
  readonly words: SheetLanguage;
  /** Columns of every line. */
  readonly width: number;
}

/** A4 and Letter in a fixed-width face of ten characters an inch, with margins. */
export const sheetColumns = 78;

export function heading(form: TextForm, title: string, newPage = false): Block {
  const lines = fold(title, form.width);
  return { lines: ['', ...lines, '='.repeat(form.width)], withNext: true, newPage };
}

export function paragraphLines(form: Pick<TextForm, 'width'>, text: string, indent = 2): string[] {
  return foldAfter(' '.repeat(indent), text, form.width);
}

/** `  Document     Rill 40 service book`, the text folded under itself. */
export function fieldLines(form: TextForm, label: string, text: string, labelColumns: number): string[] {
  return foldAfter(`  ${padColumns(label, labelColumns)} `, text, form.width);
}

/** A line to write on up to `columns` wide, `end` after it. */
export function blank(columns: number): string {
  return '_'.repeat(Math.max(4, columns));
}

export interface BlankShape {
  readonly indent: number;
  /** The label is filled up to this, so that blanks stand below each other. */
  readonly labelColumns?: number;
  /** Where the blank ends; else at the edge of the page. */
  readonly width?: number;
  /** What is said after the blank: a unit. */
  readonly end?: string;
}

/** `label ________ V`, the blank filling the line. */
export function blankAfter(form: TextForm, label: string, shape: BlankShape): string[] {
  const width = Math.min(form.width, shape.width ?? form.width);
  const end = shape.end === undefined ? '' : ` ${shape.end}`;
  const indent = ' '.repeat(shape.indent);
  const folded = fold(label, width - shape.indent - 9 - columnWidth(end));
  const last = padColumns(folded.pop() ?? '', shape.labelColumns ?? 0);
  const room = width - shape.indent - columnWidth(last) - 1 - columnWidth(end);
  return [...folded.map((text) => indent + text), `${indent}${last} ${blank(room)}${end}`];
}

/** `[ ] this  [ ] that`, folded so that no box parts from its word. */
export function choiceLines(form: TextForm, lead: string, choices: readonly string[]): string[] {
  const lines: string[] = [];
  let line = lead;
  let some = false;
  for (const choice of choices) {
    const box = `[ ] ${choice}`;
    if (some && columnWidth(line) + 2 + columnWidth(box) > form.width) {
      lines.push(line);
      line = ' '.repeat(columnWidth(lead));
      some = false;
    }
    line += `${some ? '  ' : ''}${box}`;
    some = true;
  }
  return [...lines, line];
}

export interface Column {
  readonly title: string;
  readonly width: number;
}

/** A ruled table. A cell is a list of lines that are folded apart; rows are ruled off from each other. */
export function tableLines(
  indent: number,
  columns: readonly Column[],
  rows: readonly (readonly (readonly string[])[])[],
): string[] {
  const margin = ' '.repeat(indent);
  const rule = `${margin}+${columns.map(({ width }) => '-'.repeat(width + 2)).join('+')}+`;
  const rowLines = (cells: readonly (readonly string[])[]): string[] => {
    const folded = columns.map(({ width }, i) => (cells[i] ?? []).flatMap((text) => fold(text, width)));
    const height = Math.max(1, ...folded.map((lines) => lines.length));
    return Array.from({ length: height }, (_, line) => {
      const texts = columns.map(({ width }, i) => padColumns(folded[i]?.[line] ?? '', width));
      return `${margin}| ${texts.join(' | ')} |`;
    });
  };
  const head = rowLines(columns.map(({ title }) => [title]));
  return [rule, ...head, rule, ...rows.flatMap((cells) => [...rowLines(cells), rule])];
}
