// What the parts of the printed form share: the paper, the sizes of letters, the words, and the few shapes that
// they are built of (a heading, a paragraph, a field, a blank to write on, a table).

import type { Face, PaperSize } from '../../ports/pdf-press.ts';
import type { SheetLanguage } from '../language.ts';
import type { SheetView } from '../sheet-view.ts';
import type { PageBlock } from './page-flow.ts';
import { beside, box, inset, nothing, rule, type Slab, space, stack } from './slab.ts';
import { blank, type Setting, type Typesetter, tickBox, together, type Word, words } from './typeset.ts';

export interface PdfForm {
  readonly view: SheetView;
  readonly words: SheetLanguage;
  readonly type: Typesetter;
  /** Of what may be printed, between the margins. */
  readonly widthPt: number;
}

/** What setting a text needs of a form: other documents than sheets have that as well. */
export type SetForm = Pick<PdfForm, 'type' | 'widthPt'>;

export const paperSizes = {
  a4: { widthPt: 595.28, heightPt: 841.89 },
  letter: { widthPt: 612, heightPt: 792 },
} as const satisfies Record<string, PaperSize>;
export type Paper = keyof typeof paperSizes;

/** Every office printer can print this far to the edge. The foot stands below. */
export const margins = { sidePt: 32, topPt: 24, bottomPt: 36 } as const;

/** Sizes of letters, in points. Small print is never what a step says. */
export const sizes = { small: 7, plain: 8, step: 9, number: 11.5, heading: 9.5, title: 19 } as const;

/** Of a line that is written on by hand, with gloves on. */
export const writingPt = 18;

export function say(form: SetForm, text: string, setting: Partial<Setting> & { face?: Face } = {}): Slab {
  const { face = 'plain', ...rest } = setting;
  return form.type.set(words(text, face), { widthPt: form.widthPt, sizePt: sizes.plain, ...rest });
}

/** The title of a section over a rule; it stays with what follows. */
export function heading(form: SetForm, title: string, widthPt = form.widthPt): Slab {
  return stack([
    say(form, title, { face: 'bold', sizePt: sizes.heading, widthPt }),
    rule(widthPt, 1.2),
    space(2.5),
  ]);
}

export function headingBlock(form: SetForm, title: string, more: Partial<PageBlock> = {}): PageBlock {
  return { slabs: [heading(form, title)], withNext: true, abovePt: 5, ...more };
}

/** A mark (a number, a dash, a box) with a text hanging to the right of it. */
export function hanging(mark: Slab, text: Slab, leftPt: number): Slab {
  return beside([
    { leftPt: 0, slab: mark },
    { leftPt, slab: text },
  ]);
}

/** An empty box to tick, in the middle of a line of that size. */
export function emptyBox(sizePt: number): Slab {
  return inset(box(sizePt * 0.95, sizePt * 0.95, 0.7), { topPt: sizePt * 0.16 });
}

/** A box and what it is ticked for, the lines of the text below each other. */
export function tickItem(form: PdfForm, text: string, setting: Setting): Slab {
  const leftPt = setting.sizePt * 1.4;
  const set = say(form, text, { ...setting, widthPt: setting.widthPt - leftPt });
  return hanging(emptyBox(setting.sizePt), set, leftPt);
}

export function dashItem(form: PdfForm, text: string, setting: Setting & { face?: Face }): Slab {
  const leftPt = setting.sizePt;
  const mark = say(form, '\u2013', setting);
  return hanging(mark, say(form, text, { ...setting, widthPt: setting.widthPt - leftPt }), leftPt);
}

/** `label ________ end` as one word: for several on a line. */
export function blankWord(label: string, blankSizes: number, end = ''): Word {
  return together([...words(label), [blank(blankSizes)], ...words(end)]);
}

/** A box and its word as one word: for several on a line. */
export function tickWord(text: string): Word {
  return together([[tickBox], ...words(text)]);
}

/** A label above a line to write on that ends where the width does. */
export function blankLine(form: PdfForm, label: string, widthPt: number, sizePt: number = sizes.plain): Slab {
  const text = say(form, label, { sizePt, widthPt: widthPt * 0.6 });
  const setPt = label === '' ? 0 : form.type.widthOf(together(words(label)), sizePt) + 4;
  const labelPt = Math.min(widthPt * 0.6, setPt);
  return beside([
    { leftPt: 0, slab: inset(text, { topPt: Math.max(0, writingPt - text.heightPt - 1) }) },
    { leftPt: labelPt, slab: inset(rule(widthPt - labelPt, 0.5), { topPt: writingPt - 2 }) },
  ]);
}

export interface PdfColumn {
  readonly title: string;
  readonly widthPt: number;
}

const cellPaddingPt = 3;

/** What a cell of such a column has room for. */
export function cellWidth({ widthPt }: PdfColumn): number {
  return widthPt - 2 * cellPaddingPt;
}

/** A ruled table as slabs, a row each, its head first. Sides, and a rule below each row. */
export function tableSlabs(
  form: SetForm,
  columns: readonly PdfColumn[],
  rows: readonly (readonly Slab[])[],
): Slab[] {
  const totalPt = columns.reduce((sum, { widthPt }) => sum + widthPt, 0);
  const row = (cells: readonly Slab[], strokePt: number, isHead: boolean): Slab => {
    let leftPt = cellPaddingPt;
    const placed = columns.map(({ widthPt }, at) => {
      const cell = { leftPt, slab: cells[at] ?? nothing };
      leftPt += widthPt;
      return cell;
    });
    const content = inset(beside(placed), { topPt: 1.5, bottomPt: 2 });
    return {
      heightPt: content.heightPt,
      inkAt(xPt, yPt) {
        const bottomPt = yPt + content.heightPt;
        let atPt = xPt;
        const sides = [0, ...columns.map(({ widthPt }) => widthPt)].map((widthPt) => {
          atPt += widthPt;
          return {
            kind: 'line' as const,
            fromPt: [atPt, yPt] as const,
            toPt: [atPt, bottomPt] as const,
            strokePt: 0.4,
          };
        });
        const across = (linePt: number, weightPt: number) => ({
          kind: 'line' as const,
          fromPt: [xPt, linePt] as const,
          toPt: [xPt + totalPt, linePt] as const,
          strokePt: weightPt,
        });
        return [
          ...(isHead ? [across(yPt, 0.4)] : []),
          ...content.inkAt(xPt, yPt),
          ...sides,
          across(bottomPt, strokePt),
        ];
      },
    };
  };
  const head = columns.map((column) =>
    say(form, column.title, { sizePt: sizes.small, face: 'bold', widthPt: cellWidth(column) }),
  );
  return [row(head, 0.8, true), ...rows.map((cells) => row(cells, 0.4, false))];
}
