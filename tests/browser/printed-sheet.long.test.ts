// The sheet and the slip as pages in a real browser: printed on A4 and on Letter and read back, on screens wide and
// narrow, heard through what axe-core looks at, and without a single request beside the page itself.

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { renderSheetHtml } from '../../src/sheet/html/sheet-html.ts';
import { renderSlipHtml } from '../../src/sheet/html/slip-html.ts';
import { drawSheetNumber } from '../../src/sheet/sheet-number.ts';
import type { SheetView } from '../../src/sheet/sheet-view.ts';
import { openBrowser } from '../support/open-browser.ts';
import { pdfInfo, pdfText } from '../support/pdf-pages.ts';
import type { Written } from '../unit/procedure/written-product.ts';
import {
  frontComplaints,
  plainWords,
  resultComplaints,
  stepComplaints,
  stepsOnPages,
  withoutFoot,
} from '../unit/sheet/printed-judge.ts';
import { pump, releaseOf, simpleProduct, unitOf, viewOf, writtenPump } from '../unit/sheet/sheet-fixture.ts';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const number = drawSheetNumber({ bytes: (count) => new Uint8Array(count).fill(9) });
const mark = { laptop: 'k3v9q2', seq: 214, hash: '0123456789abcdef'.repeat(4) };
const full: Written = {
  cautions: ['The lid is sharp'],
  patterns: [
    ...(writtenPump().patterns as Written[]),
    { id: 'idle', means: 'The pump stands ready', shows: { pump: { burst: 3, pause: '2s' } } },
    { id: 'runs', means: 'It runs along', shows: { sweep: ['pump', 'halt'], step: '300ms' } },
  ],
};
const two = [unitOf('TRB12345674', { details: { access: 'Key at the dairy' } }), unitOf('TRC98765432')];
const hostile = pump({
  ...full,
  name: 'W'.repeat(80),
  cautions: ['x'.repeat(300)],
  serves: [`${'unbroken'.repeat(20)}`, '"><b>bold</b>'],
  lights: [
    { id: 'pump', label: 'P'.repeat(40), colour: 'green' },
    { id: 'data', label: 'DATA', colour: ['white', 'red'] },
    { id: 'halt', label: 'HALT', colour: 'yellow' },
  ],
  patterns: [
    {
      id: 'loading',
      means: 'Takes the new firmware in',
      busy: true,
      shows: { data: { burst: 2, pause: '1s', colour: 'red' } },
    },
    { id: 'taken', means: 'Taken in and checked', shows: { data: { colour: 'white' }, pump: 'on' } },
    { id: 'turned-down', means: 'Not accepted', shows: { halt: { perMinute: 1000 } } },
  ],
});

let browser: Browser;
let home: string;
beforeAll(async () => {
  home = mkdtempSync(join(tmpdir(), 'printed-sheet-'));
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  rmSync(home, { recursive: true, force: true });
});

let count = 0;
interface Opened {
  readonly page: Page;
  readonly asked: string[];
  readonly said: string[];
}

/** From `file:`, as it is opened on a laptop. */
async function open(html: string, width = 1000): Promise<Opened> {
  count += 1;
  const path = join(home, `${count}.html`);
  writeFileSync(path, html);
  const page = await browser.newPage({ viewport: { width, height: 900 } });
  const asked: string[] = [];
  const said: string[] = [];
  page.on('request', (request) => asked.push(request.url()));
  page.on('console', (message) => said.push(message.text()));
  page.on('pageerror', (error) => said.push(String(error)));
  await page.goto(pathToFileURL(path).href);
  return { page, asked, said };
}

/** `id: the first element that breaks it`. */
async function axeOn(page: Page): Promise<string[]> {
  await page.evaluate(axe);
  return page.evaluate(`axe.run(document).then(({ violations }) =>
    violations.map(({ id, nodes }) => id + ': ' + nodes[0]?.html))`);
}

type Paper = 'a4' | 'letter';

/** As the print dialogue makes it: by the page's own paper, or on the printer's where it has none. */
async function printed(html: string, printer: Paper): Promise<Uint8Array> {
  const { page } = await open(html);
  try {
    return await page.pdf({
      preferCSSPageSize: true,
      format: printer === 'a4' ? 'A4' : 'Letter',
      printBackground: false,
    });
  } finally {
    await page.close();
  }
}

/** What stands of each step on the page where it begins: a step that is split loses what comes after. */
function stepsWhole(pages: readonly string[]): Map<number, string> {
  const whole = stepsOnPages(pages);
  const perPage = pages.map((page) => plainWords(withoutFoot(page)));
  return new Map(
    [...whole].map(([at, text]) => {
      const on = perPage.find((page) => page.includes(text.slice(0, 40)));
      return [at, on?.includes(text) ? text : ''];
    }),
  );
}

function printComplaints(pages: readonly string[], product: Written, resets: readonly string[]): string[] {
  const expected = { product, resets, version: '4.2.0' };
  const words = plainWords(pages.join(' '));
  const feet = pages.flatMap((page, at) =>
    page.includes(`Sheet ${number} page ${at + 1} of ${pages.length}`) && page.includes('k3v9q2-214')
      ? []
      : [`page ${at + 1} has no foot`],
  );
  return [
    ...feet,
    ...frontComplaints(words, expected),
    ...stepComplaints(stepsWhole(pages), expected),
    ...resultComplaints(words, expected),
  ];
}

const resets = ['bus address', 'speed limit'];
const view = (changes: Parameters<typeof viewOf>[0] = {}): SheetView =>
  viewOf({ product: pump(full), mark, number, ...changes });

describe('printed', () => {
  test.each<[Paper, string]>([
    ['a4', 'A4'],
    ['letter', 'letter'],
  ])(
    'on %s: that paper, whatever the printer holds; all there, no step split, a foot on every page',
    async (paper, name) => {
      for (const units of [two.slice(0, 1), two]) {
        const html = renderSheetHtml(view({ units }), { paper });
        const bytes = await printed(html, paper === 'a4' ? 'letter' : 'a4');
        expect(pdfInfo(bytes)).toMatch(new RegExp(`^Page size:.*\\(${name}\\)$`, 'mi'));
        const pages = pdfText(bytes);
        expect(printComplaints(pages, writtenPump(full), resets)).toEqual([]);
        expect(pages.length).toBeLessThanOrEqual(units.length === 1 ? 4 : 5);
      }
    },
  );

  test.each<Paper>(['a4', 'letter'])(
    'on what the printer holds, where no paper is said: %s',
    async (printer) => {
      const pages = pdfText(await printed(renderSheetHtml(view(), { paper: undefined }), printer));
      expect(printComplaints(pages, writtenPump(full), resets)).toEqual([]);
    },
  );

  test('a simple product takes three pages of A4 at most', async () => {
    const simple = view({ product: pump(simpleProduct), release: releaseOf({ resets: [] }) });
    const pages = pdfText(await printed(renderSheetHtml(simple, { paper: 'a4' }), 'a4'));
    expect(pages.length).toBeLessThanOrEqual(3);
    expect(printComplaints(pages, writtenPump(simpleProduct), [])).toEqual([]);
  });

  test('the judge sees a split step', async () => {
    const html = renderSheetHtml(view(), { paper: 'a4' }).replaceAll(
      'break-inside: avoid',
      'break-inside: auto',
    );
    const spaced = html.replace(
      '@media print {',
      '@media print { .steps > li { padding: 60pt 0; } .steps .do { padding-bottom: 90pt; } ',
    );
    const told = printComplaints(pdfText(await printed(spaced, 'a4')), writtenPump(full), resets);
    expect(told.join('\n')).toMatch(/does not say/);
  });

  test('the slip: one page for a unit, on both papers', async () => {
    for (const paper of ['a4', 'letter'] as const) {
      const pages = pdfText(await printed(renderSlipHtml(view(), { paper }), paper));
      expect(pages).toHaveLength(1);
      expect(pages[0]).toContain('DO NOT SWITCH ON, OPEN OR UNPLUG:');
      expect(pages[0]).toContain(`Slip to sheet ${number} page 1 of 1`);
    }
  });
});

const pagesToSee: [string, () => string][] = [
  ['a sheet', () => renderSheetHtml(view({ units: two }), { paper: undefined })],
  [
    'a hostile sheet',
    () =>
      renderSheetHtml(view({ product: hostile, units: [unitOf('T'.repeat(64), { site: 'S'.repeat(80) })] }), {
        paper: 'a4',
      }),
  ],
  ['a slip', () => renderSlipHtml(view({ units: two }), { paper: undefined })],
];

describe.each(pagesToSee)('%s on a screen', (_, html) => {
  test.each([360, 480, 800, 1400])(
    '%i wide: nothing sticks out, nothing lies over another step',
    async (width) => {
      const { page } = await open(html(), width);
      // The page's own script, as text: the tests know no document.
      const seen = await page.evaluate(`(() => {
  const { clientWidth, scrollWidth } = document.documentElement;
  const steps = [...document.querySelectorAll('.steps > li')].map((step) => step.getBoundingClientRect());
  const over = steps.filter((box, at) => at > 0 && box.top < steps[at - 1].bottom - 1).length;
  return { wider: scrollWidth - clientWidth, over };
})()`);
      await page.close();
      expect(seen).toEqual({ wider: 0, over: 0 });
    },
  );

  test('asks for nothing, says nothing, and stays light in the dark', async () => {
    const { page, asked, said } = await open(html());
    await page.emulateMedia({ colorScheme: 'dark' });
    const colours = await page.evaluate(`(() => {
  const { color, backgroundColor } = getComputedStyle(document.body);
  return [color, backgroundColor];
})()`);
    await page.close();
    expect(asked).toHaveLength(1);
    expect(said).toEqual([]);
    expect(colours).toEqual(['rgb(0, 0, 0)', 'rgb(255, 255, 255)']);
  });

  test.each([480, 1200])('%i wide: axe-core finds nothing', async (width) => {
    const { page } = await open(html(), width);
    const found = await axeOn(page);
    await page.close();
    expect(found).toEqual([]);
  });
});

test('axe-core sees planted faults', async () => {
  const html = renderSheetHtml(view(), { paper: undefined });
  const { page } = await open(
    html.replace(' lang="en"', '').replace('role="img" aria-label', 'role="img" aria-x'),
  );
  const found = (await axeOn(page)).map((violation) => violation.split(':')[0]);
  await page.close();
  expect(found).toEqual(expect.arrayContaining(['html-has-lang', 'svg-img-alt']));
});

test('the QR code is read off the screen', async () => {
  const { page } = await open(renderSheetHtml(view(), { paper: undefined }));
  const path = join(home, 'screen.png');
  await page.screenshot({ path });
  await page.close();
  const seen = execFileSync('zbarimg', ['--raw', '-q', path], { encoding: 'utf8' }).trim();
  expect(seen).toBe(`slotproof-sheet ${number} rill-40@4.2.0`);
});
