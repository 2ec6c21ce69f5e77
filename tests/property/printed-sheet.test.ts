// Printed sheets of random procedures: the page for a browser judged tag by tag and step by step from the manifest
// as written; the inked pages judged for what lies outside or over another, and for steps that are split.

import { beforeAll, expect, test } from 'vitest';
import { openPdfPress } from '../../src/adapters/pdf/open-pdf-press.ts';
import { productSchema } from '../../src/manifest/schema.ts';
import type { Ink, PdfPress } from '../../src/ports/pdf-press.ts';
import { renderSheetHtml } from '../../src/sheet/html/sheet-html.ts';
import { paperSizes } from '../../src/sheet/pdf/pdf-form.ts';
import { renderSheetPdf } from '../../src/sheet/pdf/sheet-pdf.ts';
import { randomFrom, randomProduct } from '../unit/procedure/random-product.ts';
import type { Written, WrittenStep } from '../unit/procedure/written-product.ts';
import { markupComplaints, readPage, stepsInPage } from '../unit/sheet/html/markup-judge.ts';
import { inkComplaints } from '../unit/sheet/pdf/ink-judge.ts';
import { stepComplaints } from '../unit/sheet/printed-judge.ts';
import { releaseOf, unitOf, viewOf } from '../unit/sheet/sheet-fixture.ts';

const first = Number(process.env.SHEET_SEED ?? 1);
const count = Number(process.env.SHEET_COUNT ?? (process.env.SHEET_SEED === undefined ? 120 : 1));
const noTimes = {
  bounded: false,
  ends: [],
  shortest: undefined,
  longest: undefined,
  assumed: [],
  plateMayBeLonger: [],
};

let press: PdfPress;
beforeAll(async () => {
  press = await openPdfPress();
});

const odd = [
  'plug <in>',
  'Überspannung',
  'a&b',
  '"quoted"',
  'supercalifragilistic'.repeat(5),
  '±5',
  'open;',
  '(left)',
];

/** Instructions of random length and hostile words, each unlike every other. */
function reworded(product: Written, random: () => number): Written {
  const procedure = (product.procedure as WrittenStep[]).map((step, index) => {
    if (step.do === undefined) return step;
    const words = Array.from(
      { length: 1 + Math.floor(random() * 30) },
      () => odd[Math.floor(random() * odd.length)],
    );
    return { ...step, do: `Do ${index}: ${words.join(' ')}`.slice(0, 490).trim() };
  });
  return { ...product, procedure };
}

async function inked(view: Parameters<typeof renderSheetPdf>[0], paper: 'a4' | 'letter') {
  let pages: readonly (readonly Ink[])[] = [];
  const spy: PdfPress = {
    ...press,
    print: (made) => {
      pages = made.pages;
      return Promise.resolve(new Uint8Array());
    },
  };
  await renderSheetPdf(view, spy, { paper, madeMs: 0 });
  return pages;
}

/** A step's number is set in large figures at the left edge: each stands once, in order, and only it is that large. */
function numberComplaints(pages: readonly (readonly Ink[])[], last: number): string[] {
  const numbers = pages.flatMap((inks) =>
    inks.flatMap((ink) => (ink.kind === 'text' && ink.sizePt === 11.5 ? [Number(ink.text)] : [])),
  );
  const expected = Array.from({ length: last }, (_, at) => at + 1);
  return JSON.stringify(numbers) === JSON.stringify(expected)
    ? []
    : [`numbers of steps: ${numbers.join(' ')}`];
}

test(`${count} random procedures from seed ${first}`, async () => {
  for (let seed = first; seed < first + count; seed++) {
    const random = randomFrom(seed + 2_000_000);
    const product = reworded(randomProduct(seed), random);
    const resets = ['bus address', 'speed limit'].slice(0, Math.floor(random() * 3));
    const view = viewOf({
      product: productSchema.parse(product),
      release: releaseOf({ resets, hardware: ['A'], version: '7.31.4', from: undefined }),
      units: Array.from({ length: Math.floor(random() * 8) }, (_, i) => unitOf(`TR0000000${i}`)),
      times: noTimes,
    });
    const paper = random() < 0.5 ? 'a4' : 'letter';
    const html = renderSheetHtml(view, { paper });
    const pages = await inked(view, paper);
    const told = [
      ...markupComplaints(html),
      ...stepComplaints(stepsInPage(readPage(html).root), { product, resets, version: '7.31.4' }),
      ...inkComplaints(pages, paperSizes[paper], press.widthOf),
      ...numberComplaints(pages, view.steps.length),
    ];
    const again = `SHEET_SEED=${seed} npx vitest run --project default tests/property/printed-sheet.test.ts`;
    expect(told, `seed ${seed}; again: ${again}`).toEqual([]);
  }
});
