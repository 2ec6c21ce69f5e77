// The page of an audit in a real browser: on a phone, a tablet and a desk no word of ours is broken within itself, and
// nothing lies beyond the edge; a word without end breaks rather than push the rest off.

import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { auditFleet } from '../../src/fleet/audit.ts';
import { renderAuditHtml } from '../../src/fleet/audit-html.ts';
import { routesOn } from '../../src/fleet/routes.ts';
import { openBrowser } from '../support/open-browser.ts';
import { catalogue, dayOf, noon, release, unit } from '../unit/fleet/fleet-fixture.ts';
import { cutOff } from './page-judge.ts';

const known = catalogue([release({ version: '2026-01-28', sequence: 1, due: '2026-12-15' })]);
const pageOf = (...serials: readonly string[]) => {
  const audit = auditFleet({
    catalogue: known,
    routes: routesOn(known, '2026-10-21'),
    units: serials.map((serial) => unit({ serial, site: 'Thistle Croft', left: 'locked-off' })),
    outcomes: [],
    dayOf,
    endMs: noon('2026-10-21'),
  });
  return renderAuditHtml(audit, { knownAsOf: '2026-10-20 08:00', scope: [], visits: null, dayOf });
};

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

/** Words that stand on more than one line; a hyphen may end one. */
async function look(width: number, html: string) {
  const page = await browser.newPage({ viewport: { width, height: 900 } });
  await page.setContent(html);
  const broken = await page.evaluate(() => {
    const found: string[] = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
      for (const { index, 0: word } of (node.textContent ?? '').matchAll(/[^\s-]+/g)) {
        const range = document.createRange();
        range.setStart(node, index);
        range.setEnd(node, index + word.length);
        if (new Set([...range.getClientRects()].map(({ top }) => Math.round(top))).size > 1) found.push(word);
      }
    }
    return found;
  });
  const beyond = await cutOff(page);
  await page.close();
  return { broken, beyond };
}

test.each([360, 800, 961, 1200])(
  '%i px wide: words stay whole, nothing lies beyond the edge',
  async (width) => {
    const none = { broken: [], beyond: [] };
    expect(await look(width, pageOf('TKR140002187732', 'TW2C0047113K'))).toEqual(none);
  },
);

test.each([360, 1200])('%i px wide: a serial without end breaks', async (width) => {
  const serial = 'U'.repeat(80);
  const { broken, beyond } = await look(width, pageOf(serial));
  expect(broken.length).toBeGreaterThan(0);
  expect(broken.filter((word) => !word.startsWith(serial))).toEqual([]);
  expect(beyond).toEqual([]);
});
