// The front of the sheet on paper: its head with the QR code, the cautions in a frame of their own before anything
// else, then in small print where the procedure comes from, the time and what to bring; the units; how things stand.

import {
  bringItems,
  cautionGroups,
  type Field,
  orderText,
  rulesContent,
  sourceFields,
  timeSayings,
  type UnitLine,
  unitLines,
} from '../content/front-content.ts';
import { drawQr, encodeSheetCode } from '../sheet-code.ts';
import type { PageBlock } from './page-flow.ts';
import {
  blankLine,
  cellWidth,
  dashItem,
  hanging,
  heading,
  headingBlock,
  type PdfForm,
  say,
  sizes,
  tableSlabs,
  tickItem,
  tickWord,
} from './pdf-form.ts';
import { beside, columns, framed, inset, type Slab, space, stack } from './slab.ts';
import { words as wordsOf } from './typeset.ts';

const qrPt = 66;
const gapPt = 14;
/** Higher than this, what stands in columns is parted: half a page stays together. */
const mostColumnPt = 420;

export function qrSlab(text: string, sidePt: number): Slab {
  const { size, runs } = drawQr(text);
  const modulePt = sidePt / size;
  return {
    heightPt: sidePt,
    inkAt: (xPt, yPt) =>
      runs.map(({ row, from, length }) => ({
        kind: 'box',
        xPt: xPt + from * modulePt,
        // A hair higher than a module, so that rows join without a light seam.
        yPt: yPt + row * modulePt,
        widthPt: length * modulePt,
        heightPt: modulePt * 1.02,
        fill: '#000000',
        strokePt: 0,
      })),
  };
}

export function headBlock(form: PdfForm): PageBlock {
  const { view, words } = form;
  const { head } = words;
  const widthPt = form.widthPt - qrPt - gapPt;
  const made = [head.made(view.made.day, view.made.time), view.made.by === null ? '' : head.by(view.made.by)];
  const lines = stack([
    say(form, `${head.sheet} ${view.number}`, { face: 'bold', sizePt: sizes.title, widthPt, leading: 1.15 }),
    say(form, `${view.product.name}, ${head.maker(view.product.maker)}`, {
      face: 'bold',
      sizePt: 11,
      widthPt,
    }),
    say(form, `${head.work(view.release.version)} (${view.release.id})`, { sizePt: 10, widthPt }),
    say(form, view.byHand ? head.oneUnit : head.units(view.units.length), { widthPt }),
    say(form, made.filter(Boolean).join(' '), { sizePt: sizes.small, widthPt }),
  ]);
  const code = qrSlab(encodeSheetCode(view), qrPt);
  return {
    slabs: [
      beside([
        { leftPt: 0, slab: lines },
        { leftPt: form.widthPt - qrPt, slab: code },
      ]),
    ],
  };
}

/** Slabs in so many columns of equal width, in portions that stay together on a page. */
function columnBlocks(form: PdfForm, slabs: readonly Slab[], count: number, betweenPt: number): Slab[] {
  const widthPt = columnWidth(form, count);
  const widths = Array.from({ length: count }, () => widthPt);
  const out: Slab[] = [];
  let portion: Slab[] = [];
  const flush = () => {
    if (portion.length > 0)
      out.push(inset(columns(portion, widths, gapPt, betweenPt), { bottomPt: betweenPt }));
    portion = [];
  };
  for (const slab of slabs) {
    portion.push(slab);
    if (columns(portion, widths, gapPt, betweenPt).heightPt > mostColumnPt) {
      const over = portion.pop();
      flush();
      if (over !== undefined) portion.push(over);
    }
  }
  flush();
  return out;
}

function columnWidth(form: PdfForm, count: number): number {
  return (form.widthPt - (count - 1) * gapPt) / count;
}

export function cautionBlocks(form: PdfForm): PageBlock[] {
  const { words } = form;
  const paddingPt = 5;
  const inner: PdfForm = { ...form, widthPt: form.widthPt - 2 * paddingPt };
  const itemPt = columnWidth(inner, 2);
  const slabs = cautionGroups(form.view, words).flatMap(({ intro, items }) =>
    items.map(({ number, title, text }, at) => {
      const leftPt = 15;
      const said = [
        ...wordsOf(title.toUpperCase(), 'bold'),
        ...wordsOf(text, title === '' ? 'bold' : 'plain'),
      ];
      const item = hanging(
        say(form, `${number}.`, { face: 'bold', widthPt: leftPt }),
        form.type.set(said, { widthPt: itemPt - leftPt, sizePt: sizes.plain }),
        leftPt,
      );
      if (intro === null || at > 0) return item;
      return stack([say(form, intro, { face: 'bold', widthPt: itemPt }), item]);
    }),
  );
  const half = columnWidth(inner, 2);
  const opening = stack(
    [
      say(form, words.sections.cautions, { face: 'bold', sizePt: 13, leading: 1.1 }),
      say(form, words.cautions.readAloud, { widthPt: inner.widthPt }),
      beside([
        { leftPt: 0, slab: blankLine(form, words.cautions.emergency, half) },
        { leftPt: half + gapPt, slab: blankLine(form, words.cautions.secondPerson, half) },
      ]),
      space(2),
    ],
    1,
  );
  const portions = columnBlocks(inner, slabs, 2, 1.5);
  const [first, ...rest] = portions;
  const frame = (slab: Slab) => framed(slab, { widthPt: form.widthPt, strokePt: 1.6, paddingPt });
  return [
    { slabs: [frame(stack([opening, ...(first === undefined ? [] : [first])]))], abovePt: 5 },
    ...rest.map((slab): PageBlock => ({ slabs: [frame(slab)], abovePt: 3 })),
  ];
}

function fieldSlab(form: PdfForm, { label, text, warning }: Field, widthPt: number): Slab {
  const labelPt = 52;
  const face = warning ? 'bold' : 'plain';
  const sizePt = sizes.small;
  return beside([
    { leftPt: 0, slab: say(form, label, { face: 'bold', sizePt, widthPt: labelPt - 3 }) },
    { leftPt: labelPt, slab: say(form, text, { face, sizePt, widthPt: widthPt - labelPt }) },
  ]);
}

/** In its order: what is not the hour itself runs on in small print. */
function timeSlab(form: PdfForm, widthPt: number): Slab {
  const slabs: Slab[] = [heading(form, form.words.sections.time, widthPt)];
  let small: string[] = [];
  const flush = () => {
    if (small.length > 0) slabs.push(say(form, small.join(' '), { sizePt: sizes.small, widthPt }));
    small = [];
  };
  for (const { text, isHour } of timeSayings(form.view, form.words)) {
    if (!isHour) {
      small.push(text);
      continue;
    }
    flush();
    slabs.push(say(form, text, { face: 'bold', sizePt: sizes.step, widthPt, leading: 1.6 }));
  }
  flush();
  return stack(slabs);
}

/** Where it comes from beside the time, then what to bring in two columns: all in small print. */
export function paperworkBlocks(form: PdfForm): PageBlock[] {
  const { view, words } = form;
  const widthPt = columnWidth(form, 2);
  const [origin, standing] = sourceFields(view, words);
  const source = stack([
    heading(form, words.sections.source, widthPt),
    ...[...origin, ...standing].map((field) => fieldSlab(form, field, widthPt)),
  ]);
  const items = bringItems(view, words).map((item) => tickItem(form, item, { sizePt: sizes.small, widthPt }));
  return [
    ...columnBlocks(form, [source, timeSlab(form, widthPt)], 2, 0).map((slab): PageBlock => {
      return { slabs: [slab], abovePt: 5 };
    }),
    headingBlock(form, words.sections.bring),
    ...columnBlocks(form, items, 2, 0).map((slab): PageBlock => ({ slabs: [slab] })),
  ];
}

export function unitBlocks(form: PdfForm): PageBlock[] {
  const { view, words } = form;
  const order = orderText(form.view, form.words);
  const known = unitLines(view, words);
  if (known.length === 0) return [];
  const { units } = words;
  const parts = [0.07, 0.22, 0.09, 0.27, 0.35];
  const titles = [units.row, units.serial, units.revision, units.site, units.last];
  const shape = titles.map((title, at) => ({ title, widthPt: (parts[at] ?? 0) * form.widthPt }));
  const cell = (unit: UnitLine, at: number): Slab => {
    const column = shape[at];
    const widthPt = column === undefined ? 0 : cellWidth(column);
    const texts = [[String(unit.row)], [unit.serial], [unit.revision], [unit.site], unit.last][at] ?? [];
    const isName = at < 2;
    return stack(texts.map((text) => say(form, text, { widthPt, face: isName ? 'bold' : 'plain' })));
  };
  const details = known.flatMap(({ row, details: text }) =>
    text === ''
      ? []
      : [
          form.type.set([...wordsOf(`${units.row} ${row}`, 'bold'), ...wordsOf(text)], {
            widthPt: form.widthPt,
            sizePt: sizes.plain,
          }),
        ],
  );
  const rows = known.map((unit) => titles.map((_, at) => cell(unit, at)));
  return [
    headingBlock(form, words.sections.units),
    { slabs: tableSlabs(form, shape, rows) },
    ...details.map((slab): PageBlock => ({ slabs: [slab], abovePt: 2 })),
    ...(order === null ? [] : [{ slabs: [say(form, order, { face: 'bold' })], abovePt: 2 }]),
  ];
}

export function rulesBlocks(form: PdfForm): PageBlock[] {
  const { words } = form;
  const { starts, never, whileBusy } = rulesContent(form.view, words);
  const { widthPt } = form;
  const parts: Slab[][] = [
    starts.length === 0
      ? []
      : [
          say(form, words.rules.starts),
          form.type.set(starts.map(tickWord), { widthPt, sizePt: sizes.plain, gap: 1.6, leading: 1.4 }),
        ],
    never.length === 0
      ? []
      : [
          say(form, words.rules.never, { face: 'bold' }),
          ...never.map((text) => dashItem(form, text, { widthPt, sizePt: sizes.plain })),
        ],
    whileBusy === null ? [] : [say(form, whileBusy, { face: 'bold' })],
  ];
  const blocks = parts.filter((slabs) => slabs.length > 0).map((slabs): PageBlock => ({ slabs, abovePt: 1 }));
  return blocks.length === 0 ? [] : [headingBlock(form, words.sections.rules), ...blocks];
}
