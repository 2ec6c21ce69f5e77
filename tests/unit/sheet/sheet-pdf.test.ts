// The sheet as PDF, read back by stock tools: every word of the manifest on the page, the pages counted, the QR code
// read off the rendered page, the same bytes for the same view.

import { beforeAll, describe, expect, test, vi } from 'vitest';
import { openPdfPress } from '../../../src/adapters/pdf/open-pdf-press.ts';
import type { Ink, PdfPages, PdfPress } from '../../../src/ports/pdf-press.ts';
import { type Paper, paperSizes } from '../../../src/sheet/pdf/pdf-form.ts';
import { renderSheetPdf } from '../../../src/sheet/pdf/sheet-pdf.ts';
import { decodeSheetCode } from '../../../src/sheet/sheet-code.ts';
import { drawSheetNumber } from '../../../src/sheet/sheet-number.ts';
import type { SheetInput, SheetView } from '../../../src/sheet/sheet-view.ts';
import { codeOnPage, pdfInfo, pdfText } from '../../support/pdf-pages.ts';
import type { Written } from '../procedure/written-product.ts';
import { inkComplaints } from './pdf/ink-judge.ts';
import {
  frontComplaints,
  plainWords,
  resultComplaints,
  stepComplaints,
  stepsOnPages,
} from './printed-judge.ts';
import { pump, releaseOf, simpleProduct, unitOf, viewOf, writtenPump } from './sheet-fixture.ts';

const madeMs = Date.UTC(2026, 9, 3, 18, 5);
let press: PdfPress;
beforeAll(async () => {
  press = await openPdfPress();
});

const print = (view: SheetView, paper: Paper = 'a4') => renderSheetPdf(view, press, { paper, madeMs });

/** The pages' ink, as the press is handed it. */
async function inked(view: SheetView, paper: Paper = 'a4'): Promise<readonly (readonly Ink[])[]> {
  let seen: PdfPages | undefined;
  const spy: PdfPress = {
    ...press,
    print: (pages) => {
      seen = pages;
      return Promise.resolve(new Uint8Array());
    },
  };
  await renderSheetPdf(view, spy, { paper, madeMs });
  return seen?.pages ?? [];
}

function complaints(pages: readonly string[], product: Written, resets: readonly string[]): string[] {
  const expected = { product, resets, version: '4.2.0' };
  const all = plainWords(pages.join(' '));
  return [
    ...frontComplaints(all, expected),
    ...stepComplaints(stepsOnPages(pages), expected),
    ...resultComplaints(all, expected),
  ];
}

const resets = ['bus address', 'speed limit'];
const full: Written = {
  cautions: ['The lid is sharp'],
  bring: ['5 mm key'],
  hazards: ['stored-charge', 'pv-dc', 'automatic-restart'],
  patterns: [
    ...(writtenPump().patterns as Written[]),
    { id: 'idle', means: 'The pump stands ready', shows: { pump: { burst: 3, pause: '2s' } } },
  ],
};
const units = [unitOf('TRB12345674', { details: { access: 'Key at the dairy' } }), unitOf('TRC98765432')];
const mark = { laptop: 'k3v9q2', seq: 214, hash: '0123456789abcdef'.repeat(4) };

describe('what is on the page', () => {
  test.each<[string, Partial<SheetInput>]>([
    ['one unit', {}],
    ['no unit named', { units: [] }],
    ['two units', { units, mark }],
    ['the day ends', { dayEnds: 16 * 60 + 30 }],
  ])('every caution, every step with all it says and where it leads, the rows: %s', async (_, changes) => {
    const view = viewOf({ product: pump(full), ...changes });
    expect(complaints(pdfText(await print(view)), writtenPump(full), resets)).toEqual([]);
  });

  test('head, foot and record mark on the pages', async () => {
    const pages = pdfText(await print(viewOf({ product: pump(full), units, mark })));
    expect(pages[0]).toMatch(/^SHEET K7MD-29XH\n/);
    expect(pages[0]).toContain('New firmware 4.2.0 by memory card (rill-40@4.2.0)');
    expect(pages[0]).toContain('Key at the dairy');
    pages.forEach((page, at) => {
      expect(page).toContain(`Sheet K7MD-29XH page ${at + 1} of ${pages.length}`);
      expect(page).toContain('Record: k3v9q2-214 01234 56789 abcde f0123');
    });
  });

  test('the judge sees a step, a branch, a caution or a reading that is missing', async () => {
    const view = viewOf({ product: pump(full) });
    const broken: [string, SheetView, RegExp][] = [
      ['a step', { ...view, steps: view.steps.filter(({ id }) => id !== 'feed') }, /does not say/],
      [
        'a branch',
        {
          ...view,
          steps: view.steps.map((step) =>
            step.body.kind === 'measure'
              ? { ...step, body: { ...step.body, outside: { number: 9, isNext: false } } }
              : step,
          ),
        },
        /does not send/,
      ],
      [
        'a caution',
        { ...view, cautions: { ...view.cautions, always: view.cautions.always.slice(1) } },
        /no caution/,
      ],
      ['an added caution', { ...view, cautions: { ...view.cautions, added: [] } }, /no caution/],
      [
        'a reading',
        {
          ...view,
          steps: view.steps.map((step) =>
            step.body.kind === 'measure'
              ? { ...step, body: { ...step.body, between: ['plus and minus'] } }
              : step,
          ),
        },
        /plus and earth/,
      ],
      [
        'a setting',
        {
          ...view,
          steps: view.steps.map((step) =>
            step.body.kind === 'settings'
              ? { ...step, body: { ...step.body, settings: ['bus address'] } }
              : step,
          ),
        },
        /speed limit/,
      ],
      ['a pattern', { ...view, patterns: view.patterns.slice(0, -1) }, /what idle is/],
      [
        'the version with the rows',
        { ...view, units: [{ ...view.units[0]!, serial: 'TR4.2.0' }] },
        /target version/,
      ],
    ];
    for (const [what, damaged, words] of broken) {
      expect(complaints(pdfText(await print(damaged)), writtenPump(full), resets).join('\n'), what).toMatch(
        words,
      );
    }
  });
});

describe('pages', () => {
  const counted = async (view: SheetView, paper: Paper) => (await inked(view, paper)).length;

  test('two of A4 for a simple product; Letter is shorter', async () => {
    const view = viewOf({ product: pump(simpleProduct), release: releaseOf({ resets: [] }) });
    expect(await counted(view, 'a4')).toBe(2);
    expect(await counted(view, 'letter')).toBe(3);
  });

  test('three for one with twenty-five steps and a procedure of failures', async () => {
    expect(await counted(viewOf(), 'a4')).toBe(3);
    expect(await counted(viewOf(), 'letter')).toBe(3);
  });

  test.each<[Paper, string]>([
    ['a4', '595.28 x 841.89 pts (A4)'],
    ['letter', '612 x 792 pts (letter)'],
  ])('of %s, as it was asked for', async (paper, words) => {
    const info = pdfInfo(await print(viewOf(), paper));
    expect(info).toContain(words);
    expect(info).toMatch(/^Title: +SHEET K7MD-29XH$/m);
    expect(info).toMatch(/^JavaScript: +no$/m);
  });

  test.each<[string, Partial<SheetInput>]>([
    ['one unit', {}],
    ['two units', { units }],
    [
      '24 units, so that steps are higher than a page',
      { units: Array.from({ length: 24 }, (_, i) => unitOf(`TRB1234${1000 + i}`)) },
    ],
  ])('nothing lies outside, nothing over another: %s', async (_, changes) => {
    for (const paper of ['a4', 'letter'] as const) {
      const pages = await inked(viewOf({ product: pump(full), ...changes }), paper);
      expect(inkComplaints(pages, paperSizes[paper], press.widthOf)).toEqual([]);
    }
  });

  test('the judge of ink sees what lies outside or over another', async () => {
    const pages = await inked(viewOf());
    const first = pages[0]!.findIndex((ink) => ink.kind === 'text' && ink.text.startsWith('LICENSED'));
    const moved = (change: (ink: Ink & { kind: 'text' }) => Partial<Ink>) => [
      pages[0]!.map((ink, at) =>
        at === first && ink.kind === 'text' ? ({ ...ink, ...change(ink) } as Ink) : ink,
      ),
    ];
    const judge = (made: Ink[][]) => inkComplaints(made, paperSizes.a4, press.widthOf).join('\n');
    expect(judge(moved(() => ({})))).toBe('');
    expect(judge(moved(() => ({ xPt: 570 })))).toContain('outside');
    expect(judge(moved(({ baselinePt }) => ({ baselinePt: baselinePt + 8 })))).toContain('overlap');
    const solid: Ink = {
      kind: 'box',
      xPt: 30,
      yPt: 30,
      widthPt: 200,
      heightPt: 30,
      fill: '#000000',
      strokePt: 0,
    };
    expect(judge([[...pages[0]!, solid]])).toContain('solid');
  });

  test('a step with several rows keeps its number on every page that it needs', async () => {
    const many = Array.from({ length: 24 }, (_, i) => unitOf(`TRB1234${1000 + i}`));
    const pages = pdfText(await print(viewOf({ units: many })));
    expect(pages.filter((page) => page.includes('Step 6, continued')).length).toBeGreaterThan(0);
    // Every row has its own place to write at the step that waits.
    const all = plainWords(pages.join(' '));
    for (const { serial } of many) expect(all).toContain(`(..${serial.slice(-4)}): plate says begun`);
  });

  test('the rows are never on the page whose head says the version', async () => {
    const tiny = pump({
      hazards: ['heavy'],
      never: [],
      serves: [],
      procedure: [{ id: 'end', end: 'deferred' }],
    });
    const pages = pdfText(await print(viewOf({ product: tiny, release: releaseOf({ resets: [] }) })));
    expect(pages[0]).not.toContain('RESULTS');
    expect(pages.at(-1)).toContain('RESULTS');
    expect(pages.at(-1)).not.toContain('4.2.0');
  });
});

describe('the QR code', () => {
  test('is read off the page as the sheet and its release', async () => {
    const number = drawSheetNumber({ bytes: (count) => new Uint8Array(count).fill(7) });
    const seen = codeOnPage(await print(viewOf({ number })));
    expect(seen).toBe(`slotproof-sheet ${number} rill-40@4.2.0`);
    expect(decodeSheetCode(seen)).toEqual({ number, release: 'rill-40@4.2.0' });
  });
});

describe('the file', () => {
  test('the same view gives the same bytes, on another day and by another press', async () => {
    const first = await print(viewOf({ units, mark }));
    vi.useFakeTimers({ toFake: ['Date'], now: Date.UTC(2031, 0, 1) });
    try {
      const again = await renderSheetPdf(viewOf({ units, mark }), await openPdfPress(), {
        paper: 'a4',
        madeMs,
      });
      expect(Buffer.compare(Buffer.from(first), Buffer.from(again))).toBe(0);
    } finally {
      vi.useRealTimers();
    }
    expect(pdfInfo(first)).toMatch(/^CreationDate: +Sat Oct {2}3 18:05:00 2026 UTC$/m);
    const other = await print(viewOf({ units, mark, number: 'K7MD-29XJ' }));
    expect(Buffer.compare(Buffer.from(first), Buffer.from(other))).not.toBe(0);
  });
});

describe('letters', () => {
  const withCaution = (text: string) => viewOf({ product: pump({ cautions: [text] }) });

  test.each([
    ['of Latin languages', 'Čištění žárovky, Überspannung, façade, Łódź, ñandú, œuvre, İstanbul'],
    ['of Greek and Cyrillic', 'Προσοχή! Υψηλή τάση. Осторожно: высокое напряжение'],
    ['signs', '±5 % ≤ 60 Ω, 20 µF, 25 °C → 3 √ ½ “quoted” – ‘so’ …'],
    ['what has a meaning in PDF', '(open \\ and) close << >> [x] /Name %comment'],
    ['composed from parts', 'Kla\u0308rwerk'],
  ])('%s come out as they were written', async (_, text) => {
    expect(plainWords(pdfText(await print(withCaution(text))).join(' '))).toContain(
      plainWords(text.normalize('NFC')),
    );
  });

  test.each([
    ['Chinese', '小心高压', 'U+5C0F'],
    ['Arabic, which reads the other way', 'تحذير', 'U+062A'],
    ['Devanagari, whose letters join', 'सावधान', 'U+0938'],
    ['pictures', '⚡️ 🔥', 'U+1F525'],
    ['a mark that no letter takes up', 'x\u0323\u0307', 'U+0323'],
  ])('%s: refused, never printed with a hole', async (_, text, named) => {
    await expect(print(withCaution(text))).rejects.toMatchObject({
      facts: { code: 'letters-missing', exit: 2, seen: expect.stringContaining(named) },
    });
  });
});
