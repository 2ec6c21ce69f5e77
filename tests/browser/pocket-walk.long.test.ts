// Whole walks on the pocket page, with a finger and with keys alone, to a result that the laptop takes: the spoken code,
// the QR code read off the screen, and the file. What a reload, a phone without a memory and a late technician do to it.

import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readOutcomeCode, readOutcomeFile, readOutcomeQr } from '../../src/sheet/outcome/read-outcome.ts';
import { openBrowser } from '../support/open-browser.ts';
import { demoUnits, type PocketPage, type PocketPages, pocketPages } from '../support/pocket-page.ts';
import { openPhone } from './phone.ts';
import {
  beginWalk,
  finger,
  type Hand,
  keysAlone,
  makeResult,
  readCautions,
  type WalkPlan,
  walkThrough,
} from './pocket-hand.ts';

let browser: Browser;
let pages: PocketPages;
let hearth: PocketPage;
beforeAll(async () => {
  pages = pocketPages();
  browser = await openBrowser();
  hearth = await pages.make('hearth-90', demoUnits.hearth);
});
afterAll(async () => {
  await browser.close();
  pages.remove();
});

const serial = 'TB8120000834';
const well: WalkPlan = {
  lastFour: '0834',
  revision: 'B',
  versions: ['2.5.0', '2.6.0'],
  lights: ['awake', 'receiving', 'writing', 'complete'],
  left: 'running',
};

async function codeOf(page: Page): Promise<string> {
  return (await page.locator('#code span').allTextContents()).join('-');
}

/** As a laptop's camera or another phone sees it. */
async function qrOf(page: Page): Promise<string> {
  const path = join(pages.folder, 'qr.png');
  await page.locator('.qr').screenshot({ path });
  return execFileSync('zbarimg', ['--quiet', '--raw', path], {
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'ignore'],
  });
}

async function fileOf(page: Page): Promise<{ name: string; text: string }> {
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    finger(page).press('#screen button.main:has-text("Save as a file")'),
  ]);
  return { name: download.suggestedFilename(), text: readFileSync(await download.path(), 'utf8') };
}

describe('a walk to its good end', () => {
  test('with a finger: code, QR code and file say the same, and the laptop takes each', async () => {
    const { page, requests, troubles, close } = await openPhone(browser, { clock: true, insecure: true });
    const hand = finger(page);
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    const seen = await walkThrough(page, hand, well);
    expect(seen.map(({ kind }) => kind)).toContain('restore');
    await makeResult(page, hand);
    await page.screenshot({ path: join(pages.folder, 'made.png'), fullPage: true });

    const coded = readOutcomeCode(await codeOf(page), hearth.sheet, serial);
    expect(coded).toEqual({
      kind: 'outcome',
      outcome: {
        sheet: hearth.number,
        row: 1,
        serial,
        outcome: 'updated',
        versionRead: '2.6.0',
        lights: 'complete',
        left: 'running',
      },
    });
    const scanned = readOutcomeQr(await qrOf(page), hearth.sheet);
    if (scanned.kind !== 'outcome' || coded.kind !== 'outcome') throw new Error(JSON.stringify(scanned));
    expect(scanned.outcome).toMatchObject({
      ...coded.outcome,
      by: 'R. Quill',
      card: 'Card 7',
      versionBefore: '2.5.0',
      revision: 'B',
    });
    const { name, text } = await fileOf(page);
    expect(name).toBe(`${hearth.number}_${serial}.json`);
    const filed = readOutcomeFile(text, hearth.sheet, serial);
    if (filed.kind !== 'outcome') throw new Error(JSON.stringify(filed));
    const { steps, ...rest } = filed.outcome;
    expect(rest).toEqual(scanned.outcome);
    expect(steps?.map(({ step }) => step)).toEqual(
      expect.arrayContaining(['cautions', 'plate', 'prove-dead', 'look', 'version', 'serving']),
    );
    // Another sheet of the same release takes none of them.
    const other = await pages.make('hearth-90', demoUnits.hearth);
    expect(readOutcomeFile(text, other.sheet)).toMatchObject({ reason: 'wrong-sheet' });
    expect(['wrong-sheet', 'forged']).toContain(
      (readOutcomeCode(await codeOf(page), other.sheet) as { reason: string }).reason,
    );
    expect(readOutcomeCode(await codeOf(page), hearth.sheet, 'TB8120001238')).toMatchObject({
      reason: 'wrong-unit',
    });
    expect(requests).toEqual([hearth.url]);
    expect(troubles).toEqual([]);
    await close();
  });

  test('with keys alone, at 412 px, in the dark: the focus is always to be seen', async () => {
    const { page, troubles, close } = await openPhone(browser, { clock: true, width: 412, dark: true });
    const hand = keysAlone(page);
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    const unseen: string[] = [];
    await walkThrough(page, hand, well, async ({ head }) => {
      // Each new question begins at its heading, and the next Tab shows where it went.
      const focused = await page.evaluate(() => document.activeElement?.tagName);
      if (focused === 'BODY') unseen.push(`${head}: focus is lost`);
      await page.keyboard.press('Tab');
      const outline = await page.evaluate(() => {
        const element = document.activeElement;
        return element === null || element === document.body ? '' : getComputedStyle(element).outlineStyle;
      });
      if (outline !== 'solid') unseen.push(`${head}: no outline`);
      await page.keyboard.press('Shift+Tab');
      return 'on';
    });
    expect(unseen).toEqual([]);
    await makeResult(page, hand);
    expect(readOutcomeCode(await codeOf(page), hearth.sheet, serial)).toMatchObject({ kind: 'outcome' });
    expect(troubles).toEqual([]);
    await close();
  });

  test('a serial written in by hand: check characters are looked at, and it stands in the code', async () => {
    const kerb = await pages.make('kerb-22@126', []);
    const [unit] = demoUnits.kerb;
    const { page, close } = await openPhone(browser, { clock: true });
    const hand = finger(page);
    await page.goto(kerb.url);
    await readCautions(page, hand);
    await hand.fill('#serial', unit.serial.replace('4711', '4171'));
    await hand.press('#screen form button.main');
    expect(await page.locator('#serial-fault').textContent()).toContain('check characters');
    await hand.fill('#serial', unit.serial.toLowerCase());
    await hand.press('#screen form button.main');
    await hand.press('#place-result');
    await hand.check('#outcome-2');
    await hand.press('#screen form button.main');
    expect((await page.locator('#faults a').allTextContents()).join()).toMatch(/Why is it deferred.*Who did/);
    await hand.check('#reason-0');
    await hand.fill('#by', 'R. Quill');
    await hand.fill('#note', 'Nobody there; gate locked');
    await hand.press('#screen form button.main');
    const expected = { row: 1, serial: unit.serial, outcome: 'deferred', reason: 'no-access' };
    expect(readOutcomeCode(await codeOf(page), kerb.sheet)).toMatchObject({ outcome: expected });
    expect(readOutcomeQr(await qrOf(page), kerb.sheet)).toMatchObject({
      outcome: { ...expected, note: 'Nobody there; gate locked' },
    });
    await close();
  });
});

describe('what the page keeps', () => {
  test('a reload asks who stayed, goes on at the same step, and begins no time anew', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    const hand = finger(page);
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    await walkThrough(page, hand, well, async ({ kind, head }) =>
      kind === 'watch' && head === 'STEP 13' ? 'enough' : 'on',
    );
    await page.clock.runFor(5 * 60_000);
    const before = await page.locator('#timer').textContent();
    expect(before).toMatch(/^(30:0\d|29:5\d)$/);
    await page.reload();
    expect(await page.locator('#screen h2').textContent()).toContain('LOADED AGAIN');
    await hand.press('#screen button.main');
    expect(await page.locator('#screen h2').textContent()).toBe('STEP 13');
    expect(await page.locator('#timer').textContent()).toMatch(/^(30:0\d|29:[345]\d)$/);
    // Looking at another place, or at the lights again, begins nothing anew either.
    await hand.press('#place-lights');
    expect(await page.locator('#status').textContent()).toMatch(/^Step.13: (30:0\d|29:[345]\d) left$/);
    await hand.press('#place-walk');
    await hand.check('.choice-card[data-pattern="writing"] input[type=radio]');
    await hand.press('#screen form button.main');
    expect(await page.locator('#timer').textContent()).toMatch(/^(30:0\d|29:[345]\d)$/);
    expect(await page.locator('#screen').textContent()).toContain('Keep watching');
    await close();
  });

  test('away for too long, unit, positions and dead test are confirmed anew; the watch has run out meanwhile', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    const hand = finger(page);
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    await walkThrough(page, hand, well, async ({ kind, head }) =>
      kind === 'watch' && head === 'STEP 13' ? 'enough' : 'on',
    );
    await page.goto('about:blank');
    await page.clock.fastForward(40 * 60_000);
    await page.goto(hearth.url);
    expect(await page.locator('#screen').textContent()).toContain('too long ago');
    expect(await page.locator('#screen button.main').count()).toBe(1);
    await hand.press('#screen button.main');
    await readCautions(page, hand);
    await hand.fill('#last-four', '0834');
    await hand.fill('#revision', 'B');
    await hand.press('#screen form button.main');
    for (const state of ['stopped', 'open', 'service', 'open', 'in']) {
      await hand.check(`#field-choice input[value="${state}"]`);
      await hand.press('#screen form button.main');
    }
    expect(await page.locator('#screen h2').textContent()).toContain('ANEW');
    for (let turn = 0; turn < 6; turn++) {
      if ((await page.locator('#reading').count()) > 0) {
        await hand.fill('#reading', '1');
        await hand.press('#screen form button.main');
      } else await hand.press('#screen button.main');
    }
    expect(await page.locator('#screen h2').textContent()).toBe('STEP 13');
    await page.clock.runFor(500);
    expect(await page.locator('#time-up').isVisible()).toBe(true);
    expect(await page.locator('#field-seen[disabled]').count()).toBe(1);
    await close();
  });

  test('a phone without a memory works, and says what that means', async () => {
    const { page, troubles, close } = await openPhone(browser, { clock: true, forgets: true });
    const hand = finger(page);
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial, async (name) => {
      if (name === 'begin')
        expect(await page.locator('#screen').textContent()).toContain('does not let the page keep');
    });
    await walkThrough(page, hand, well);
    await makeResult(page, hand);
    expect(readOutcomeCode(await codeOf(page), hearth.sheet, serial)).toMatchObject({ kind: 'outcome' });
    expect(troubles).toEqual([]);
    await page.reload();
    expect(await page.locator('#screen h2').textContent()).toBe('CAUTIONS');
    await close();
  });

  test('everything is forgotten on request, asked for twice', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    const hand = finger(page);
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    await walkThrough(page, hand, well);
    await makeResult(page, hand);
    await page.reload();
    expect(await page.locator('#code').isVisible()).toBe(true);
    await hand.press('#screen button.danger');
    expect(await page.locator('#screen button.danger').textContent()).toContain('Really');
    await hand.press('#screen button.danger');
    await page.waitForSelector('#screen .caution');
    expect(await page.evaluate(() => Object.keys(localStorage).length)).toBe(0);
    await close();
  });
});

describe('what goes wrong on site', () => {
  const lateAt = async (page: Page, hand: Hand) => {
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    return await walkThrough(page, hand, { ...well, lights: ['awake', 'receiving', 'late'] });
  };

  test('too late: the page says to leave it as it is, at every step from there to the end', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    const hand = finger(page);
    const warned: [string, boolean][] = [];
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    let late = false;
    await walkThrough(
      page,
      hand,
      { ...well, lights: ['awake', 'receiving', 'late'], left: 'off' },
      async ({ kind, head }) => {
        if (late && kind !== 'ended') warned.push([head, await page.locator('#busy').isVisible()]);
        late ||= head === 'STEP 13';
        return 'on';
      },
    );
    expect(warned.length).toBeGreaterThan(3);
    expect(warned.filter(([head, shown]) => !shown && head !== 'STEP 13')).toEqual([]);
    await makeResult(page, hand);
    expect(readOutcomeCode(await codeOf(page), hearth.sheet)).toMatchObject({
      outcome: { outcome: 'failed', lights: 'receiving', left: 'off' },
    });
    await close();
  });

  test('a stop while it may be writing lists everything, orders nothing, and can ring the helpline', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    const hand = finger(page);
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    await walkThrough(page, hand, well, async ({ head }) => (head === 'STEP 13' ? 'enough' : 'on'));
    await hand.press('#screen button.danger');
    const shown = (await page.locator('#screen').innerText()).replace(/\s+/g, ' ');
    for (const words of [
      'do not cut the power, do not pull the card',
      'card in',
      'main-switch open',
      'gives no order',
    ]) {
      expect(shown).toContain(words);
    }
    expect(shown).not.toMatch(/take it out|take the card out|turn the service key to run/i);
    expect(await page.locator('#screen a.ring').getAttribute('href')).toBe('tel:+005550190');
    // Ending it here asks twice, and it is a failure: it may have taken something in.
    await hand.press('#screen button.danger');
    expect(await page.locator('#screen h2').textContent()).toBe('STOPPED');
    await hand.press('#screen button.danger');
    await walkThrough(page, hand, { ...well, lights: [], left: 'locked-off' });
    await makeResult(page, hand);
    expect(readOutcomeCode(await codeOf(page), hearth.sheet)).toMatchObject({
      outcome: { outcome: 'failed', left: 'locked-off' },
    });
    await close();
  });

  test('an answer tapped by mistake is taken back, but none that began or ended a watch', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    const hand = finger(page);
    const back = 'button:has-text("Take back")';
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    await walkThrough(page, hand, well, async ({ head }) => (head === 'STEP 5' ? 'enough' : 'on'));
    await hand.press(`#screen ${back}`);
    expect(await page.locator('#screen h2').textContent()).toBe('STEP 4');
    const offered: string[] = [];
    await walkThrough(page, hand, { ...well, versions: ['2.6.0'] }, async ({ kind, head }) => {
      if ((await page.locator(back).count()) > 0) offered.push(`${kind} ${head}`);
      return 'on';
    });
    expect(offered.length).toBeGreaterThan(5);
    expect(offered.filter((one) => one.startsWith('watch'))).toEqual([]);
    expect(offered).not.toContain('do STEP 11');
    await makeResult(page, hand);
    expect(JSON.parse((await fileOf(page)).text).takenBack).toBe(1);
    await close();
  });

  test('another version than the release’s has to be confirmed; which one it should be is not said', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    const hand = finger(page);
    await page.goto(hearth.url);
    await readCautions(page, hand);
    await hand.press(`#screen .unit-choice button:has-text("${serial}")`);
    await hand.press('#place-result');
    await hand.check('#outcome-0');
    await hand.fill('#versionRead', '2.5.9');
    await hand.check('#field-left input[value="running"]');
    await hand.fill('#by', 'R. Quill');
    expect(await page.locator('#displayConfirmed').isVisible()).toBe(false);
    await hand.press('#screen form button.main');
    expect(await page.locator('#faults').textContent()).toContain('not the version that was carried here');
    expect(await page.evaluate(() => document.body.innerText)).not.toContain('2.6.0');
    await hand.check('#displayConfirmed');
    await hand.press('#screen form button.main');
    expect(readOutcomeCode(await codeOf(page), hearth.sheet)).toMatchObject({
      outcome: { outcome: 'updated', versionRead: '2.5.9', displayConfirmed: true },
    });
    await close();
  });

  test('the wrong unit’s plate stops the walk before anything is touched', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    const hand = finger(page);
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    await hand.fill('#card', 'Card 7');
    await hand.press('#screen form button.main');
    await hand.fill('#last-four', '1238');
    await hand.fill('#revision', 'B');
    await hand.press('#screen form button.main');
    expect(await page.locator('#complaint').textContent()).toContain('NOT the unit of this visit');
    expect(await page.locator('#last-four').isVisible()).toBe(true);
    await close();
  });

  test('a second tap of the same finger answers nothing; what was typed outlives a change of the look', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    const hand = finger(page);
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    await hand.fill('#card', 'Card 7');
    await hand.press('#theme');
    expect(await page.inputValue('#card')).toBe('Card 7');
    expect(await page.locator('html').getAttribute('data-theme')).toBe('dark');
    await walkThrough(page, hand, well, async ({ head }) => (head === 'STEP 4' ? 'enough' : 'on'));
    await hand.press('#screen button.main');
    await page.evaluate(() => document.querySelector<HTMLElement>('#screen button.main')?.click());
    expect(await page.locator('#screen h2').textContent()).toBe('STEP 5');
    await hand.press('#screen button.main');
    expect(await page.locator('#screen h2').textContent()).toBe('STEP 6');
    await close();
  });

  test('time runs out even if nobody looks: told, sounded and shaken once; then only what is late is left', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    await page.addInitScript(() => {
      const noted = window as unknown as { shaken: number; sounded: number };
      noted.shaken = 0;
      noted.sounded = 0;
      navigator.vibrate = () => {
        noted.shaken += 1;
        return true;
      };
      const { createOscillator } = AudioContext.prototype;
      AudioContext.prototype.createOscillator = function (this: AudioContext) {
        noted.sounded += 1;
        return createOscillator.call(this);
      };
    });
    const alarms = () =>
      page.evaluate(() => {
        const { shaken, sounded } = window as unknown as { shaken: number; sounded: number };
        return { shaken, sounded };
      });
    const hand = finger(page);
    await page.goto(hearth.url);
    await beginWalk(page, hand, serial);
    await walkThrough(page, hand, well, async ({ head }) => (head === 'STEP 13' ? 'enough' : 'on'));
    await hand.press('#place-list');
    const before = await alarms();
    await page.clock.runFor(34 * 60_000 + 1000);
    expect(await page.locator('#heard').textContent()).toMatch(/^Step.13: (0:5\d|1:00) left$/);
    await page.clock.runFor(2 * 60_000);
    expect(await page.locator('#heard').textContent()).toMatch(/^Step.13: the time is over$/);
    // A minute before, ten seconds before, and at the end; the last in five tones.
    expect(await alarms()).toEqual({ shaken: before.shaken + 3, sounded: before.sounded + 1 + 1 + 5 });
    await page.clock.runFor(5 * 60_000);
    expect((await alarms()).shaken).toBe(before.shaken + 3);
    await hand.press('#place-walk');
    expect(await page.locator('#time-up-go').isVisible()).toBe(true);
    await close();
  });

  test('late is late', async () => {
    const { page, close } = await openPhone(browser, { clock: true });
    expect((await lateAt(page, finger(page))).at(-1)?.kind).toBe('ended');
    await close();
  });
});
