// The sheet as pages for a printer, drawn from the same lines as every other form of it. Lays out and hands the
// pages to the press; the same view gives the same bytes.

import type { Ink, PdfPress } from '../../ports/pdf-press.ts';
import { formatMark } from '../../record/mark-text.ts';
import { languages } from '../language.ts';
import type { SheetView } from '../sheet-view.ts';
import { failureBlocks, resultBlocks } from './back-slabs.ts';
import { cautionBlocks, headBlock, paperworkBlocks, rulesBlocks, unitBlocks } from './front-slabs.ts';
import { lightBlocks } from './light-slabs.ts';
import { flowOnPages, type PageBlock } from './page-flow.ts';
import { margins, type Paper, type PdfForm, paperSizes, say, sizes } from './pdf-form.ts';
import { requireLetters } from './require-letters.ts';
import { rule } from './slab.ts';
import { stepBlocks } from './step-slabs.ts';
import { typesetter } from './typeset.ts';

export interface SheetPdfOptions {
  readonly paper: Paper;
  /** When it was made, for the file itself. */
  readonly madeMs: number;
}

export function pdfForm(view: SheetView, press: PdfPress, paper: Paper): PdfForm {
  const widthPt = paperSizes[paper].widthPt - 2 * margins.sidePt;
  return { view, words: languages[view.language], type: typesetter(press), widthPt };
}

function sheetBlocks(form: PdfForm): PageBlock[] {
  return [
    headBlock(form),
    ...cautionBlocks(form),
    ...unitBlocks(form),
    ...paperworkBlocks(form),
    ...rulesBlocks(form),
    ...stepBlocks(form),
    ...lightBlocks(form),
    ...failureBlocks(form),
    ...resultBlocks(form),
  ];
}

export type Foot = (page: number, pages: number) => string;

/** Number and page at the left; at the right the product and the record's mark. The version stands on no foot. */
function footInk(form: PdfForm, text: string, topPt: number): Ink[] {
  const { view, words } = form;
  const record = view.mark === null ? words.source.noRecord : formatMark(view.mark);
  const leftPt = form.widthPt * 0.4;
  const left = say(form, text, { face: 'bold', widthPt: leftPt });
  const right = `${view.product.name}. ${words.source.record}: ${record}`;
  const widthPt = form.widthPt - leftPt;
  const slab = say(form, right, { sizePt: sizes.small, widthPt });
  return [
    ...rule(form.widthPt, 0.6).inkAt(margins.sidePt, topPt),
    ...left.inkAt(margins.sidePt, topPt + 3),
    ...slab.inkAt(margins.sidePt + leftPt, topPt + 3),
  ];
}

/** Every page's ink, feet included. */
export function inkPages(form: PdfForm, blocks: readonly PageBlock[], paper: Paper, foot: Foot): Ink[][] {
  const { heightPt } = paperSizes[paper];
  const pages = flowOnPages(blocks, heightPt - margins.topPt - margins.bottomPt);
  return pages.map((placed, at) => [
    ...placed.flatMap(({ slab, topPt }) => slab.inkAt(margins.sidePt, margins.topPt + topPt)),
    ...footInk(form, foot(at + 1, pages.length), heightPt - margins.bottomPt + 8),
  ]);
}

export async function renderSheetPdf(
  view: SheetView,
  press: PdfPress,
  { paper, madeMs }: SheetPdfOptions,
): Promise<Uint8Array> {
  const form = pdfForm(view, press, paper);
  const { head } = form.words;
  const pages = inkPages(form, sheetBlocks(form), paper, (page, of) => head.foot(view.number, page, of));
  requireLetters(pages, press);
  return press.print({
    title: `${head.sheet} ${view.number}`,
    language: form.words.code,
    createdMs: madeMs,
    paper: paperSizes[paper],
    pages,
  });
}
