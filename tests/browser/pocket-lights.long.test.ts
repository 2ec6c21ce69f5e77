// What moves on the pocket page, measured frame by frame: lamps alone, one pattern at a time, never more than three
// beginnings of light in a second whatever the unit really does, and nothing at all where the phone asks for stillness.

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { stringify } from 'yaml';
import { openBrowser } from '../support/open-browser.ts';
import { demoUnits, type PocketPages, pocketPages } from '../support/pocket-page.ts';
import { type Written, writtenProduct } from '../unit/procedure/written-product.ts';
import { watchLamps } from './page-judge.ts';
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

const lights = ['a', 'b', 'c', 'd', 'e'];
/** Quicker than any eye should be shown. */
const wild: Written = {
  id: 'wild-1',
  name: 'Wild 1 lamp board',
  lights: lights.map((id) => ({
    id,
    label: id.toUpperCase(),
    colour: id === 'e' ? ['red', 'green'] : 'red',
  })),
  patterns: [
    { id: 'storm', means: 'Ten times a second', shows: { a: { perMinute: 1200 } } },
    {
      id: 'crowd',
      means: 'Three at their own pace',
      shows: { a: { perMinute: 170 }, b: { perMinute: 130 }, c: { perMinute: 97 } },
    },
    { id: 'burst', means: 'A long burst', shows: { b: { burst: 12, pause: '300ms' } } },
    { id: 'runner', means: 'Runs along', busy: true, shows: { sweep: lights, step: '100ms' } },
    {
      id: 'steady',
      means: 'All on',
      shows: Object.fromEntries(lights.map((id) => [id, id === 'e' ? { colour: 'green' } : 'on'])),
    },
  ],
  positions: { card: { states: ['out', 'in'], starts: 'out', ends: 'out' } },
  never: [],
  whileBusy: { card: 'in' },
  procedure: [
    { id: 'insert', do: 'Push the card in', sets: { card: 'in' } },
    {
      id: 'look',
      watch: { runner: 'look', steady: 'out', storm: 'out-failed' },
      within: '10min',
      late: 'end-busy',
      unlisted: 'end-busy',
    },
    { id: 'out', do: 'Take the card out', sets: { card: 'out' } },
    { id: 'read', read: 'version', other: 'end-failed' },
    { id: 'end', end: 'updated' },
    { id: 'out-failed', do: 'Take the card out', sets: { card: 'out' } },
    { id: 'end-failed', end: 'failed' },
    { id: 'end-busy', end: 'failed', leaves: { card: 'in' } },
  ],
};

async function wildPage() {
  const folder = join(pages.workspace, 'manifests');
  writeFileSync(join(folder, 'wild-1.yaml'), stringify(writtenProduct(wild)));
  const release = {
    manifest: 'release',
    format: 1,
    product: 'wild-1',
    version: '2.0',
    sequence: 1,
    issued: '2026-01-01',
    priority: 'required',
    hardware: writtenProduct(wild).hardware,
    image: { name: 'WILD.BIN', bytes: 1000, digests: { sha256: 'ab'.repeat(32) } },
  };
  writeFileSync(join(folder, 'wild-1-2.yaml'), stringify(release));
  return pages.make('wild-1', []);
}

const demo = (release: string, units: readonly (typeof demoUnits)[keyof typeof demoUnits][number][]) => () =>
  pages.make(release, units);

test.each([
  ['hearth-90', demo('hearth-90', demoUnits.hearth)],
  ['weir-18', demo('weir-18', demoUnits.weir)],
  ['kerb-22', demo('kerb-22', demoUnits.kerb)],
  ['wild-1', wildPage],
] as const)(
  'every pattern of %s, played: three flashes a second at most, and only one plays',
  async (_name, make) => {
    const made = await make();
    const { page, close } = await openPhone(browser, { clock: true });
    await page.goto(made.url);
    await readCautions(page, finger(page));
    await page.tap('#place-lights');
    const buttons = page.locator('#lights .play');
    const count = await buttons.count();
    expect(count).toBeGreaterThan(0);
    for (let i = 0; i < count; i++) {
      await buttons.nth(i).tap();
      const flashes = await watchLamps(page, 4);
      expect(flashes.looks).toBeGreaterThan(40);
      const pattern = await page.locator('#lights .playing').getAttribute('data-pattern');
      expect(flashes.beginnings, `${pattern} does play`).toBeGreaterThan(0);
      expect(flashes.mostInSecond, `${pattern}`).toBeLessThanOrEqual(3);
      expect(await page.locator('.playing').count()).toBe(1);
    }
    // What is slowed says so, with the real count beside it.
    const slowed = await page.locator('#lights .slowed').allTextContents();
    for (const text of slowed) expect(text).toMatch(/^Played \d+\.\d times slower than on the unit/);
    if (made.sheet.version === '2.0') expect(slowed.length).toBe(3);
    await page.tap('#place-list');
    expect(await page.locator('.playing').count()).toBe(0);
    await close();
  },
);

test('the judge of flashes sees a lamp that is too quick', async () => {
  const made = await demo('hearth-90', demoUnits.hearth)();
  const { page, close } = await openPhone(browser, { clock: true });
  await page.goto(made.url);
  await readCautions(page, finger(page));
  await page.tap('#place-lights');
  await page.evaluate(() => {
    const lamp = document.querySelector('#lights .lamp');
    setInterval(() => lamp?.toggleAttribute('data-colour'), 110);
  });
  expect((await watchLamps(page, 3)).mostInSecond).toBeGreaterThan(3);
  await close();
});

test('where the phone asks for little movement nothing plays, and a word says why', async () => {
  const made = await demo('hearth-90', demoUnits.hearth)();
  const { page, close } = await openPhone(browser, { still: true, clock: true });
  await page.goto(made.url);
  await readCautions(page, finger(page));
  await page.tap('#place-lights');
  expect(await page.locator('.play').count()).toBe(0);
  expect(await page.locator('#screen').textContent()).toContain('This phone asks for little movement');
  expect((await watchLamps(page, 2)).beginnings).toBe(0);
  expect(await page.evaluate(() => document.getAnimations().length)).toBe(0);
  await close();
});
