// The pocket page on small phones: nothing fetched, nothing cut off at twice the letters, nothing too small for gloves,
// nothing that axe-core finds in either theme, and the version read beside nothing that it could be copied from.

import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { languageCodes } from '../../src/sheet/language-codes.ts';
import { openBrowser } from '../support/open-browser.ts';
import { demoUnits, type PocketPage, type PocketPages, pocketPages } from '../support/pocket-page.ts';
import { axeViolations, cutOff, hardToHit } from './page-judge.ts';
import { openPhone } from './phone.ts';
import { beginWalk, finger, walkThrough } from './pocket-hand.ts';

let browser: Browser;
let pages: PocketPages;
let hearth: PocketPage;
beforeAll(async () => {
  pages = pocketPages();
  [browser, hearth] = await Promise.all([
    openBrowser(),
    pages.make('hearth-90', demoUnits.hearth, '--day-ends', '16:30'),
  ]);
});
afterAll(async () => {
  await browser.close();
  pages.remove();
});

const plan = {
  lastFour: '0834',
  revision: 'B',
  versions: ['2.5.0', '2.6.0'],
  lights: ['awake', 'receiving', 'writing', 'complete'],
};

/** Every kind of screen once, from the first to the result. */
async function eachScreen(
  page: Page,
  look: (name: string) => Promise<void>,
  url = hearth.url,
): Promise<void> {
  const hand = finger(page);
  await page.goto(url);
  await beginWalk(page, hand, 'TB8120000834', look);
  const seen = new Set<string>();
  await walkThrough(page, hand, plan, async ({ kind }) => {
    if (!seen.has(kind)) {
      seen.add(kind);
      await look(kind);
    }
    if (kind === 'watch' && !seen.has('elsewhere')) {
      seen.add('elsewhere');
      for (const place of ['list', 'lights', 'trouble', 'result', 'walk']) {
        await hand.press(`#place-${place}`);
        if (place !== 'walk') await look(place);
      }
      await hand.press('#screen button.danger');
      await look('stopped');
      await hand.press('#screen button.main');
    }
    return 'on';
  });
  await hand.press('#screen button.main');
  await page.waitForSelector('#by');
  await look('form');
  await hand.press('#screen form button.main');
  await page.waitForSelector('#faults a');
  await look('faults');
  await hand.fill('#by', 'R. Quill');
  await hand.press('#screen form button.main');
  await page.waitForSelector('.qr');
  await look('made');
}

const screens = [
  'cautions',
  'unit',
  'begin',
  'card',
  'plate',
  'version',
  'settings',
  'starts',
  'do',
  'plate-time',
  'wait',
  'meter',
  'reading',
  'review',
  'watch',
  'list',
  'lights',
  'trouble',
  'result',
  'stopped',
  'hold',
  'sign',
  'restore',
  'choice',
  'told',
  'ended',
  'form',
  'faults',
  'made',
];

/** Numbers do not tell what is ugly: SLOTPROOF_SCREENSHOTS names a folder for pictures to be looked at. */
async function keepPicture(page: Page, name: string): Promise<void> {
  const folder = process.env.SLOTPROOF_SCREENSHOTS;
  if (folder !== undefined) await page.screenshot({ path: join(folder, `${name}.png`), fullPage: true });
}

async function resize(page: Page, percent: number): Promise<void> {
  for (let presses = 0; presses < 4; presses++) {
    if ((await page.locator('html').getAttribute('data-size')) === String(percent)) return;
    await page.tap('#size');
  }
  throw new Error(`no text of ${percent} %`);
}

describe.each([
  { width: 360, dark: false },
  { width: 412, dark: true },
])('$width px wide, dark: $dark', ({ width, dark }) => {
  test('every screen at 100 and at 200 %: nothing cut off, nothing hard to hit, nothing asked of any network', async () => {
    const { page, requests, troubles, close } = await openPhone(browser, { width, dark, clock: true });
    const found: string[] = [];
    const seen: string[] = [];
    await eachScreen(page, async (name) => {
      seen.push(name);
      for (const percent of [200, 100]) {
        await resize(page, percent);
        await keepPicture(page, `${dark ? 'dark' : 'sun'}-${percent}-${name}`);
        const bad = [...(await cutOff(page)), ...(await hardToHit(page))];
        found.push(...bad.map((one) => `${name} at ${percent} %: ${one}`));
      }
    });
    expect(found).toEqual([]);
    expect([...new Set(seen)].sort()).toEqual([...screens].sort());
    expect(requests).toEqual([hearth.url]);
    expect(troubles).toEqual([]);
    await close();
  });

  test('axe-core finds nothing on any screen', async () => {
    const { page, close } = await openPhone(browser, { width, dark, clock: true });
    const found: string[] = [];
    await eachScreen(page, async (name) => {
      expect(await page.locator('html').getAttribute('data-theme')).toBe(dark ? 'dark' : 'sun');
      found.push(...(await axeViolations(page)).map((one) => `${name}: ${one}`));
    });
    expect(found).toEqual([]);
    await close();
  });
});

describe.each(languageCodes.filter((code) => code !== 'en'))('in %s', (code) => {
  test('every screen at 100 and at 200 %, 360 px wide: nothing cut off, nothing that axe-core finds, its language said', async () => {
    const { url } = await pages.make(
      'hearth-90',
      demoUnits.hearth,
      '--day-ends',
      '16:30',
      '--language',
      code,
    );
    const { page, requests, troubles, close } = await openPhone(browser, { width: 360, clock: true });
    const found: string[] = [];
    const seen: string[] = [];
    const look = async (name: string) => {
      seen.push(name);
      for (const percent of [200, 100]) {
        await resize(page, percent);
        await keepPicture(page, `${code}-${percent}-${name}`);
        const bad = [...(await cutOff(page)), ...(await hardToHit(page))];
        found.push(...bad.map((one) => `${name} at ${percent} %: ${one}`));
      }
      found.push(...(await axeViolations(page)).map((one) => `${name}: ${one}`));
    };
    await eachScreen(page, look, url);
    expect(found).toEqual([]);
    expect([...new Set(seen)].sort()).toEqual([...screens].sort());
    expect(await page.locator('html').getAttribute('lang')).toBe(code);
    expect(requests).toEqual([url]);
    expect(troubles).toEqual([]);
    await close();
  });
});

test('the judges see what is planted', async () => {
  const { page, close } = await openPhone(browser);
  await page.goto(hearth.url);
  await page.evaluate(() => {
    const wide = document.createElement('p');
    wide.textContent = 'x'.repeat(200);
    wide.style.overflowWrap = 'normal';
    const [small, close] = [document.createElement('button'), document.createElement('button')];
    small.textContent = 'x';
    small.style.cssText = 'min-height:20px;height:20px;padding:0;width:20px;min-width:0';
    close.textContent = 'close by';
    close.style.marginTop = '-14px';
    const pale = document.createElement('p');
    pale.textContent = 'pale';
    pale.style.color = '#ddd';
    document.querySelector('#screen')?.append(wide, small, close, pale);
  });
  expect((await cutOff(page)).join()).toContain('wide on 360');
  const hard = (await hardToHit(page)).join();
  expect(hard).toContain('button# "x" is 20 by 20');
  expect(hard).toContain('too close');
  expect((await axeViolations(page)).join()).toContain('color-contrast');
  await close();
});

test('letters of twice the size by the browser itself, not by the page', async () => {
  const { page, close } = await openPhone(browser, { width: 360 });
  await page.goto(hearth.url);
  await page.evaluate(() => {
    document.documentElement.style.fontSize = '32px';
  });
  expect(await cutOff(page)).toEqual([]);
  await close();
});

test('while a version is asked for, the one of the sheet stands nowhere on the screen', async () => {
  const { page, close } = await openPhone(browser, { clock: true });
  const hand = finger(page);
  await page.goto(hearth.url);
  await beginWalk(page, hand, 'TB8120000834');
  let asked = 0;
  const shown = () => page.evaluate(() => document.body.innerText);
  await walkThrough(page, hand, plan, async ({ kind }) => {
    if (kind === 'version') {
      asked += 1;
      expect(await shown()).not.toContain('2.6.0');
    }
    return 'on';
  });
  expect(asked).toBe(2);
  await hand.press('#screen button.main');
  await hand.fill('#versionRead', '');
  expect(await shown()).not.toContain('2.6.0');
  // The sheet itself says it, in the list of all steps: the judge is not blind.
  await hand.press('#place-list');
  expect(await shown()).toContain('2.6.0');
  await close();
});

test('without a script it is the whole sheet to read, and says what does not work', async () => {
  const { page, requests, close } = await openPhone(browser, { scripts: false });
  await page.goto(hearth.url);
  const shown = (await page.locator('body').innerText()).replace(/\s+/g, ' ');
  for (const words of [
    'no result can be made',
    'CAUTIONS',
    'Step 12',
    'HOLD TEST',
    'WHAT THE LIGHTS SAY',
    'RESULTS',
    '+00 555 0190',
  ]) {
    expect(shown).toContain(words);
  }
  expect(shown.indexOf('CAUTIONS')).toBeLessThan(shown.indexOf('THE MAKER'));
  expect(await cutOff(page)).toEqual([]);
  expect(requests).toEqual([hearth.url]);
  await close();
});

test('cautions come first: nothing else is open before all are ticked', async () => {
  const { page, close } = await openPhone(browser, { clock: true });
  await page.goto(hearth.url);
  await page.clock.runFor(400);
  expect(await page.locator('#places').isVisible()).toBe(false);
  expect(await page.locator('#paper').isVisible()).toBe(false);
  await page.tap('#screen button.main');
  expect(await page.locator('#cautions-missing').textContent()).toMatch(
    /^\d+ cautions are not ticked yet\.$/,
  );
  const all = await page.locator('#screen .caution input').all();
  for (const one of all.slice(1)) await one.check();
  await page.tap('#screen button.main');
  expect(await page.locator('#cautions-missing').textContent()).toBe('One caution is not ticked yet.');
  expect(await page.evaluate(() => document.activeElement?.id)).toBe('caution-1');
  await all[0]?.check();
  await page.tap('#screen button.main');
  expect(await page.locator('#screen h2').textContent()).toBe('WHICH UNIT?');
  expect(await page.locator('#places').isVisible()).toBe(true);
  await close();
});

test('a page that was tampered with does not run the foreign script', async () => {
  const { page, close } = await openPhone(browser);
  const bad = hearth.html.replace('</body>', '<script>document.title = "taken over"</script></body>');
  await page.route('**/*', (route) => route.fulfill({ body: bad, contentType: 'text/html' }));
  await page.goto(hearth.url);
  await page.waitForSelector('#screen .caution');
  expect(await page.title()).toContain('Hearth 90');
  await close();
});
