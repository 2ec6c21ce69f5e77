// A report as pages for a printer, set with the letters and slabs that sheets are set with. The same report gives the same
// bytes. Digests and long ids break where the line ends; nothing is cut.

import type { Ink, PdfPress } from '../ports/pdf-press.ts';
import { flowOnPages, type PageBlock } from '../sheet/pdf/page-flow.ts';
import {
  cellWidth,
  headingBlock,
  margins,
  type Paper,
  paperSizes,
  type SetForm,
  say,
  sizes,
  tableSlabs,
} from '../sheet/pdf/pdf-form.ts';
import { requireLetters } from '../sheet/pdf/require-letters.ts';
import { beside, rule, type Slab } from '../sheet/pdf/slab.ts';
import { typesetter } from '../sheet/pdf/typeset.ts';
import { printable } from '../words/printable.ts';
import type { Report, ReportBlock, ReportTable } from './report.ts';

export interface ReportPdfOptions {
  readonly paper: Paper;
  /** When it was made, for the file itself. */
  readonly madeMs: number;
}

const longest = 8000;
const labelPt = 104;
const textPt = 8.5;
const tablePt = 6.8;

const plain = (text: string) => printable(text, longest);

function fieldSlab(form: SetForm, label: string, text: string): Slab {
  const value = say(form, plain(text), { sizePt: textPt, widthPt: form.widthPt - labelPt });
  const name = say(form, plain(label), { face: 'bold', sizePt: textPt, widthPt: labelPt - 6 });
  return beside([
    { leftPt: 0, slab: name },
    { leftPt: labelPt, slab: value },
  ]);
}

/** Wider for longer texts, by the square root: a digest does not push a time out of its column. */
function columnsOf(form: SetForm, { columns, rows }: ReportTable) {
  const weights = columns.map((title, at) => {
    const most = Math.max(title.length, ...rows.map((row) => row[at]?.length ?? 0));
    return Math.sqrt(Math.min(most, 120) + 4);
  });
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  return columns.map((title, at) => ({ title, widthPt: (form.widthPt * (weights[at] ?? 1)) / all }));
}

function blockSlabs(form: SetForm, block: ReportBlock): PageBlock[] {
  switch (block.kind) {
    case 'paragraph':
      return [{ slabs: [say(form, plain(block.text), { sizePt: textPt })], abovePt: 3 }];
    case 'fields':
      return block.fields.map(({ label, text }) => ({ slabs: [fieldSlab(form, label, text)], abovePt: 1.5 }));
    case 'table': {
      const columns = columnsOf(form, block.table);
      const cells = block.table.rows.map((row) =>
        row.map((cell, at) => say(form, plain(cell), { sizePt: tablePt, widthPt: cellWidth(columns[at]!) })),
      );
      const [head, ...rows] = tableSlabs(form, columns, cells);
      if (head === undefined) return [];
      return [{ slabs: [head], withNext: true, abovePt: 3 }, ...rows.map((slab) => ({ slabs: [slab] }))];
    }
  }
}

function footInk(form: SetForm, foot: string, page: number, pages: number, topPt: number): Ink[] {
  const slab = say(form, `${plain(foot)}; page ${page} of ${pages}`, { sizePt: sizes.small });
  return [...rule(form.widthPt, 0.6).inkAt(margins.sidePt, topPt), ...slab.inkAt(margins.sidePt, topPt + 3)];
}

export async function renderReportPdf(
  report: Report,
  press: PdfPress,
  { paper, madeMs }: ReportPdfOptions,
): Promise<Uint8Array> {
  const { widthPt, heightPt } = paperSizes[paper];
  const form: SetForm = { type: typesetter(press), widthPt: widthPt - 2 * margins.sidePt };
  const blocks: PageBlock[] = [
    { slabs: [say(form, plain(report.title), { face: 'bold', sizePt: sizes.title })] },
    ...report.sections.flatMap((section) => [
      headingBlock(form, plain(section.title), { abovePt: 10 }),
      ...section.blocks.flatMap((block) => blockSlabs(form, block)),
    ]),
  ];
  const flown = flowOnPages(blocks, heightPt - margins.topPt - margins.bottomPt);
  const pages = flown.map((placed, at) => [
    ...placed.flatMap(({ slab, topPt }) => slab.inkAt(margins.sidePt, margins.topPt + topPt)),
    ...footInk(form, report.foot, at + 1, flown.length, heightPt - margins.bottomPt + 8),
  ]);
  requireLetters(pages, press, 'report');
  return press.print({
    title: plain(report.title),
    language: 'en',
    createdMs: madeMs,
    paper: paperSizes[paper],
    pages,
  });
}
