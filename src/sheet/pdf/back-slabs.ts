// The back of the sheet on paper: what to do when it fails, in a frame, and the rows to fill in, one a unit, whose
// fields stand in the order in which the record asks for them, on lines high enough for a hand in a glove. The
// version that is expected stands nowhere near them.

import { failureContent, type ResultField, resultFields } from '../content/back-content.ts';
import type { UnitRow } from '../sheet-view.ts';
import type { PageBlock } from './page-flow.ts';
import {
  blankLine,
  dashItem,
  headingBlock,
  type PdfForm,
  say,
  sizes,
  tickWord,
  writingPt,
} from './pdf-form.ts';
import { beside, framed, inset, type Slab, stack } from './slab.ts';
import { together, type Word, words } from './typeset.ts';

const gapPt = 14;

export function failureBlocks(form: PdfForm): PageBlock[] {
  const { points, helpline } = failureContent(form.view, form.words);
  const paddingPt = 4;
  const innerPt = form.widthPt - 2 * paddingPt;
  const setting = { widthPt: innerPt, sizePt: sizes.plain };
  const slabs = points.flatMap(({ text, list }) => [
    dashItem(form, text, setting),
    ...list.map((item) => inset(say(form, item, { face: 'bold', widthPt: innerPt - 8 }), { leftPt: 8 })),
  ]);
  const number =
    helpline.number === null
      ? blankLine(form, helpline.label, innerPt)
      : say(form, `${helpline.label} ${helpline.number}`, { face: 'bold', sizePt: 11, widthPt: innerPt });
  const content = stack(
    [
      say(form, form.words.sections.failure, { face: 'bold', sizePt: sizes.heading, widthPt: innerPt }),
      stack(slabs, 1),
      number,
    ],
    3,
  );
  return [{ slabs: [framed(content, { widthPt: form.widthPt, strokePt: 1.6, paddingPt })], abovePt: 6 }];
}

interface FieldShape {
  readonly leastPt: number;
  /** Takes what is left of the line. */
  readonly grows: boolean;
  draw(widthPt: number): Slab;
}

function choiceWords({ label, choices }: { label: string; choices: readonly string[] }): Word[] {
  return [together(words(`${label}:`, 'bold')), ...choices.map(tickWord)];
}

/** Room for the label, and for a name or a number in a large hand. */
function leastToWrite(form: PdfForm, label: string, sizePt: number): number {
  const labelPt = form.type.widthOf(together(words(label)), sizePt);
  return Math.min(form.widthPt, Math.max(150, labelPt + 90));
}

function fieldShape(form: PdfForm, field: ResultField, sizePt: number): FieldShape {
  const givenPt = sizePt + 2;
  const onLine = (slab: Slab): Slab => inset(slab, { topPt: Math.max(0, writingPt - slab.heightPt - 1) });
  switch (field.kind) {
    case 'write':
      return {
        leastPt: leastToWrite(form, field.label, sizePt),
        grows: true,
        draw: (widthPt) => blankLine(form, field.label, widthPt, sizePt),
      };
    case 'given': {
      const said = [...words(`${field.label}:`), ...words(field.text, 'bold')];
      return {
        leastPt: Math.min(form.widthPt, form.type.widthOf(together(said), givenPt) + 2),
        grows: true,
        draw: (widthPt) => onLine(form.type.set(said, { widthPt, sizePt: givenPt })),
      };
    }
    case 'fill': {
      const said = words(field.text);
      return {
        leastPt: Math.min(form.widthPt, form.type.widthOf(together(said), sizePt) + 2),
        grows: false,
        draw: (widthPt) => onLine(form.type.set(said, { widthPt, sizePt })),
      };
    }
    case 'choose': {
      const said = choiceWords(field);
      const gap = 0.9;
      const naturalPt =
        said.reduce((sum, word) => sum + form.type.widthOf(word, sizePt), 0) + said.length * gap * sizePt;
      return {
        leastPt: Math.min(form.widthPt, naturalPt + 2),
        grows: false,
        draw: (widthPt) => onLine(form.type.set(said, { widthPt, sizePt, gap, leading: 1.4 })),
      };
    }
  }
}

interface FieldLinesShape {
  readonly sizePt?: number;
  /** Said before the first field. */
  readonly lead?: string;
}

function leadShape(form: PdfForm, lead: string): FieldShape {
  const said = words(lead, 'bold');
  const sizePt = 11;
  return {
    leastPt: Math.min(form.widthPt, form.type.widthOf(together(said), sizePt) + 2),
    grows: false,
    draw: (widthPt) => {
      const slab = form.type.set(said, { widthPt, sizePt });
      return inset(slab, { topPt: Math.max(0, writingPt - slab.heightPt - 1) });
    },
  };
}

/** Fields one after another on lines, as many as fit; those to write on share what is left. */
export function fieldLines(
  form: PdfForm,
  fields: readonly ResultField[],
  { sizePt = sizes.plain, lead }: FieldLinesShape = {},
): Slab[] {
  const lines: FieldShape[][] = [];
  let roomPt = 0;
  const shapes = fields.map((field) => fieldShape(form, field, sizePt));
  if (lead !== undefined) shapes.unshift(leadShape(form, lead));
  for (const shape of shapes) {
    const last = lines[lines.length - 1];
    if (last === undefined || shape.leastPt + gapPt > roomPt) {
      lines.push([shape]);
      roomPt = form.widthPt - shape.leastPt;
      continue;
    }
    last.push(shape);
    roomPt -= shape.leastPt + gapPt;
  }
  return lines.map((line) => {
    const usedPt = line.reduce((sum, { leastPt }) => sum + leastPt, 0) + gapPt * (line.length - 1);
    const growing = line.filter(({ grows }) => grows).length;
    const sharePt = growing === 0 ? 0 : (form.widthPt - usedPt) / growing;
    let leftPt = 0;
    return beside(
      line.map((shape) => {
        const widthPt = shape.leastPt + (shape.grows ? sharePt : 0);
        const cell = { leftPt, slab: shape.draw(widthPt) };
        leftPt += widthPt + gapPt;
        return cell;
      }),
    );
  });
}

function rowBlock(form: PdfForm, unit: UnitRow): PageBlock {
  const paddingPt = 4;
  const inner: PdfForm = { ...form, widthPt: form.widthPt - 2 * paddingPt };
  const lead = form.words.steps.rowMark(unit.row, null);
  const content = stack(fieldLines(inner, resultFields(unit, form.words), { lead }));
  return { slabs: [framed(content, { widthPt: form.widthPt, strokePt: 0.8, paddingPt })], abovePt: 3 };
}

export function resultBlocks(form: PdfForm): PageBlock[] {
  return [
    // The head of the first page says the version: it must not lie beside the line for the version read.
    headingBlock(form, form.words.sections.results, { notFirst: true }),
    { slabs: [say(form, form.words.results.intro, { face: 'bold' })], withNext: true },
    ...form.view.units.map((unit) => rowBlock(form, unit)),
  ];
}
