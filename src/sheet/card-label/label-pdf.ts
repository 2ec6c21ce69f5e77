// Labels for a label printer, one a page, or to be cut out of paper: 80 by 40 millimetres, the code at the right.

import type { Ink, PdfPress } from '../../ports/pdf-press.ts';
import { requireLetters } from '../pdf/require-letters.ts';
import { stack } from '../pdf/slab.ts';
import { typesetter, words } from '../pdf/typeset.ts';
import { drawQr } from '../sheet-code.ts';
import type { CardLabel } from './card-label.ts';

const ptPerMm = 72 / 25.4;
const paper = { widthPt: 80 * ptPerMm, heightPt: 40 * ptPerMm };
const edgePt = 3 * ptPerMm;
/** 24 mm: a phone reads it at an arm's length. */
const codePt = 24 * ptPerMm;

function codeInk(text: string, xPt: number, yPt: number): Ink[] {
  const { size, runs } = drawQr(text);
  const modulePt = codePt / size;
  return runs.map(({ row, from, length }) => ({
    kind: 'box',
    xPt: xPt + from * modulePt,
    yPt: yPt + row * modulePt,
    widthPt: length * modulePt,
    heightPt: modulePt,
    fill: '#000000',
    strokePt: 0,
  }));
}

function labelInk({ name, lines, code }: CardLabel, press: PdfPress): Ink[] {
  const type = typesetter(press);
  const widthPt = paper.widthPt - codePt - 2 * edgePt;
  // A long name, such as that of an image file, gets smaller letters before it gets a second line.
  const sizePt = [20, 16, 12, 9].find((size) => press.widthOf(name, 'bold', size) <= widthPt) ?? 8;
  const text = stack(
    [
      type.set(words(name, 'bold'), { widthPt, sizePt }),
      ...lines.map((line, at) =>
        type.set(words(line, at === 0 ? 'bold' : 'plain'), { widthPt, sizePt: at === 0 ? 9 : 6.5 }),
      ),
    ],
    1.5,
  );
  return [...text.inkAt(edgePt, edgePt), ...codeInk(code, paper.widthPt - codePt - edgePt / 2, edgePt)];
}

/** The same labels of the same time give the same bytes. */
export async function renderLabelPdf(
  labels: readonly CardLabel[],
  press: PdfPress,
  createdMs: number,
): Promise<Uint8Array> {
  const pages = labels.map((label) => labelInk(label, press));
  requireLetters(pages, press, 'label', 'Use --format text and write it by hand.');
  return press.print({ title: 'Card labels', language: 'en', createdMs, paper, pages });
}
