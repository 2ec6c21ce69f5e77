// Two units of a site on one phone: what is done once for the site is part of the first walk and of the last, the page
// says so before each begins, and a person may say otherwise.

import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/open-browser.ts';
import { type SiteWorkspace, siteUnits, siteWorkspace } from '../support/site-workspace.ts';
import { openPhone } from './phone.ts';
import { beginWalk, finger, type Hand, makeResult, readCautions, walkThrough } from './pocket-hand.ts';

const [plain, mainPump] = siteUnits.map(({ serial }) => serial) as [string, string];

let browser: Browser;
let site: SiteWorkspace;
let url = '';
beforeAll(async () => {
  [browser, site] = await Promise.all([openBrowser(), siteWorkspace()]);
  const made = await site.run(
    ...['sheet', 'rill-40', '--unit', plain, mainPump, '--format', 'pocket', '--as', 'R. Quill', '--json'],
  );
  url = pathToFileURL(made.json.path).href;
});
afterAll(async () => {
  await browser.close();
  site.remove();
});

const planOf = (serial: string, ...lights: string[]) => ({
  lastFour: serial.slice(-4),
  revision: 'B',
  versions: ['4.1.0', '4.2.0'],
  lights,
});

/** What was asked to be done, in the procedure's words. */
async function walked(page: Page, hand: Hand, serial: string, ...lights: string[]): Promise<string[]> {
  const done: string[] = [];
  await walkThrough(page, hand, planOf(serial, ...lights), async ({ kind }) => {
    if (kind === 'do') done.push((await page.locator('#screen').innerText()).replace(/\s+/g, ' '));
    return 'on';
  });
  return done;
}

test('the first opens the site, the last closes it, each box once', async () => {
  const { page, troubles, close } = await openPhone(browser, { clock: true });
  const hand = finger(page);
  await page.goto(url);
  const screens = new Map<string, string>();
  const look = async (name: string) => void screens.set(name, await page.locator('#screen').innerText());
  await beginWalk(page, hand, mainPump, look);
  expect(screens.get('unit')!.indexOf(mainPump)).toBeLessThan(screens.get('unit')!.indexOf(plain));
  expect(screens.get('begin')).toContain('The first unit here today');
  expect(screens.get('begin')).toContain('Another unit follows here today');
  const first = await walked(page, hand, mainPump, 'taken');
  expect(first.some((text) => text.includes('Switch the hub of the site off'))).toBe(true);
  expect(first.some((text) => text.includes('Switch the hub of the site on'))).toBe(false);
  await makeResult(page, hand);

  await hand.press('#place-walk');
  await hand.press('#screen button:has-text("Next unit")');
  await readCautions(page, hand);
  await hand.press(`#screen .unit-choice button:has-text("${plain}")`);
  const begin = await page.locator('#screen').innerText();
  expect(begin).toContain(`What is done once for the site was done with ${mainPump}.`);
  expect(begin).toContain('The last unit here today');
  await hand.press('#screen button:has-text("No: another one follows")');
  expect(await page.locator('#screen').innerText()).toContain('Another unit follows here today');
  await hand.press('#screen button:has-text("No: this is the last one")');
  await hand.press('#screen button.main');
  const last = await walked(page, hand, plain, 'taken');
  expect(last.some((text) => text.includes('Switch the hub of the site off'))).toBe(false);
  expect(last.some((text) => text.includes('Switch the hub of the site on'))).toBe(true);
  expect(troubles).toEqual([]);
  await close();
});

test('after an end that holds the site the page begins no other unit', async () => {
  const { page, close } = await openPhone(browser, { clock: true });
  const hand = finger(page);
  await page.goto(url);
  await beginWalk(page, hand, mainPump);
  await walked(page, hand, mainPump, 'unlisted');
  await makeResult(page, hand);
  await hand.press('#place-walk');
  await hand.press('#screen button:has-text("Next unit")');
  await readCautions(page, hand);
  await hand.press(`#screen .unit-choice button:has-text("${plain}")`);
  expect(await page.locator('#screen').innerText()).toContain('begin no other unit before the helpline');
  expect(await page.locator('#screen button.main').count()).toBe(0);
  await close();
});
