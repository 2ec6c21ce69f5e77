// The slip for the customer as pages for a printer: large letters, one page for a unit, to be left on site.

import type { PdfPress } from '../../ports/pdf-press.ts';
import type { ResultField } from '../content/back-content.ts';
import { type SlipContent, type SlipUnit, slipContents } from '../content/slip-content.ts';
import type { SheetView } from '../sheet-view.ts';
import { fieldLines } from './back-slabs.ts';
import type { PageBlock } from './page-flow.ts';
import { blankLine, dashItem, headingBlock, type PdfForm, paperSizes, say, tickItem } from './pdf-form.ts';
import { requireLetters } from './require-letters.ts';
import { inkPages, pdfForm, type SheetPdfOptions } from './sheet-pdf.ts';
import { framed, type Slab, space, stack } from './slab.ts';

const sizePt = 10;
const paddingPt = 7;

function unitBlock(form: PdfForm, unit: SlipUnit): PageBlock {
  const inner: PdfForm = { ...form, widthPt: form.widthPt - 2 * paddingPt };
  const { widthPt } = inner;
  const content = stack(
    [
      ...(unit.title === '' ? [] : [say(inner, unit.title, { face: 'bold', sizePt: 11, widthPt })]),
      ...unit.fields.flatMap((field) => fieldLines(inner, [field], { sizePt })),
      ...(unit.stands.length === 0
        ? []
        : [
            say(inner, form.words.slip.stands, { sizePt, widthPt }),
            ...fieldLines(inner, unit.stands, { sizePt }),
          ]),
      space(3),
      ...unit.doNot.flatMap((label, at): Slab[] => [
        say(inner, label, { face: at === 0 ? 'bold' : 'plain', sizePt: at === 0 ? 12 : sizePt, widthPt }),
        blankLine(inner, '', widthPt),
        ...(at === 0 ? [blankLine(inner, '', widthPt)] : []),
      ]),
    ],
    3,
  );
  return { slabs: [framed(content, { widthPt: form.widthPt, strokePt: 1.6, paddingPt })], abovePt: 8 };
}

function slipBlocks(form: PdfForm, says: SlipContent): PageBlock[] {
  const { slip } = form.words;
  const { widthPt } = form;
  const text = { sizePt, widthPt };
  const fields = (all: readonly ResultField[]) => fieldLines(form, all, { sizePt });
  return [
    {
      newPage: true,
      slabs: [
        say(form, says.title, { face: 'bold', sizePt: 20, widthPt, leading: 1.2 }),
        say(form, says.head, text),
        say(form, says.equipment, { ...text, face: 'bold' }),
        ...fields(says.visit),
        space(4),
        say(form, says.intro, text),
      ],
    },
    ...says.units.map((unit) => unitBlock(form, unit)),
    headingBlock(form, slip.rules, { abovePt: 10 }),
    {
      slabs: [
        say(form, says.leave, { ...text, face: 'bold' }),
        ...says.rules.map((rule) => dashItem(form, rule, text)),
        ...(says.never === null ? [] : [say(form, says.never.intro, { ...text, face: 'bold' })]),
        ...(says.never?.items ?? []).map((item) => dashItem(form, item, text)),
        ...(says.writing === null ? [] : [space(4), tickItem(form, says.writing, text)]),
      ],
    },
    headingBlock(form, slip.ring, { abovePt: 10 }),
    {
      slabs: [
        say(form, says.ring.when, { ...text, face: 'bold' }),
        ...fields(says.ring.numbers),
        space(4),
        ...fields(says.signed),
      ],
    },
  ];
}

export async function renderSlipPdf(
  view: SheetView,
  press: PdfPress,
  { paper, madeMs }: SheetPdfOptions,
): Promise<Uint8Array> {
  const form = pdfForm(view, press, paper);
  const { slip } = form.words;
  const blocks = slipContents(view, form.words).flatMap((says) => slipBlocks(form, says));
  const pages = inkPages(form, blocks, paper, (page, of) => slip.foot(view.number, page, of));
  requireLetters(pages, press);
  return press.print({
    title: slip.head(view.number),
    language: form.words.code,
    createdMs: madeMs,
    paper: paperSizes[paper],
    pages,
  });
}
