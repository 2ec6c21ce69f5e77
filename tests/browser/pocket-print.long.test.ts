// The pocket page sent to a printer: the whole sheet, black on white whatever the screen looked like, without what is
// there to be tapped, on no more pages than stated here and in the guide for those who use it.

import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/open-browser.ts';
import { pdfInfo, pdfText } from '../support/pdf-pages.ts';
import { demoUnits, type PocketPages, pocketPages } from '../support/pocket-page.ts';
import { openPhone } from './phone.ts';
import { finger, readCautions } from './pocket-hand.ts';

let browser: Browser;
let pages: PocketPages;
beforeAll(async () => {
  pages = pocketPages();
  browser = await openBrowser();
});
afterAll(async () => {
  await browser.close();
  pages.remove();
});

/** Of the demonstration products. */
const mostPages = 8;

test.each([
  ['hearth-90', 'A4', demoUnits.hearth],
  ['hearth-90', 'Letter', demoUnits.hearth],
  ['weir-18', 'A4', demoUnits.weir],
  ['weir-18', 'Letter', demoUnits.weir],
  ['kerb-22', 'A4', demoUnits.kerb],
  ['kerb-22', 'Letter', demoUnits.kerb],
] as const)('%s on %s', async (product, format, units) => {
  const made = await pages.make(product, units);
  const { page, close } = await openPhone(browser, { dark: true, clock: true });
  await page.goto(made.url);
  await readCautions(page, finger(page));
  await finger(page).press('#size');
  const pdf = await page.pdf({ format, printBackground: true });
  const count = Number(/Pages:\s+(\d+)/.exec(pdfInfo(pdf))?.[1]);
  expect(count).toBeGreaterThan(1);
  expect(count).toBeLessThanOrEqual(mostPages);
  const text = pdfText(pdf).join('\n').replace(/\s+/g, ' ');
  for (const words of [
    'CAUTIONS',
    'Step 1',
    'WHAT THE LIGHTS SAY',
    'RESULTS',
    'Version read ____',
    'begun ____:____',
  ]) {
    expect(text.replace(/\u00a0/g, ' '), words).toContain(words);
  }
  for (const words of ['WHICH UNIT?', 'Bright sun', 'Play', 'sends nothing by itself'])
    expect(text).not.toContain(words);
  const steps = await page.locator('.step').count();
  expect(text).toContain(`Step ${steps}`);
  await close();
});

test('the guide states the same number of pages', () => {
  const guide = readFileSync(fileURLToPath(new URL('../../DEVELOPERS.md', import.meta.url)), 'utf8');
  expect(guide).toContain(`prints on ${mostPages} pages at most`);
});
