// The hand of a technician on a pocket page: taps with a finger, or keys alone. It goes by what stands on the screen,
// question by question, and answers as a plan says; whoever wants to look on is called before each answer.

import type { Page } from 'playwright-core';
import { languages } from '../../src/sheet/language.ts';
import { isLanguageCode } from '../../src/sheet/language-codes.ts';

export interface WalkPlan {
  readonly lastFour: string;
  readonly revision: string;
  /** The version before, then each one that is read later. */
  readonly versions: readonly string[];
  /** Ids of patterns, one for each look; `unlisted` and `late` too. */
  readonly lights: readonly string[];
  readonly reading?: string;
  readonly left?: string;
}

export interface Hand {
  press(selector: string): Promise<void>;
  fill(selector: string, text: string): Promise<void>;
  check(selector: string): Promise<void>;
}

/** Nobody answers a new question within a third of a second; the page takes that for a second tap. */
async function readFirst(page: Page): Promise<void> {
  await page.clock.runFor(400);
}

/** The phone's clock must be the test's. */
export function finger(page: Page): Hand {
  return {
    async press(selector) {
      await readFirst(page);
      await page.tap(selector);
    },
    fill: (selector, text) => page.fill(selector, text),
    async check(selector) {
      await readFirst(page);
      await page.check(selector);
    },
  };
}

/** Never touches: Tab, arrows, space and Enter. */
export function keysAlone(page: Page): Hand {
  const reach = async (selector: string) => {
    for (let presses = 0; presses < 250; presses++) {
      const there = await page
        .locator(selector)
        .evaluateAll((all) => all.some((one) => one === document.activeElement));
      if (there) return;
      await page.keyboard.press('Tab');
    }
    throw new Error(`${selector} is not reached by Tab`);
  };
  return {
    async press(selector) {
      await readFirst(page);
      await reach(selector);
      await page.keyboard.press('Enter');
    },
    async fill(selector, text) {
      await reach(selector);
      await page.keyboard.press('Control+A');
      await page.keyboard.type(text);
    },
    async check(selector) {
      await readFirst(page);
      const { type, name } = await page.locator(selector).evaluate((input) => {
        const { type, name } = input as HTMLInputElement;
        return { type, name };
      });
      if (type === 'checkbox') {
        await reach(selector);
        if (!(await page.isChecked(selector))) await page.keyboard.press('Space');
        return;
      }
      // Of a group of radio buttons one is on the way of Tab; the arrows go from one to the next.
      await reach(`input[name="${name}"]`);
      await page.keyboard.press('Space');
      for (let presses = 0; presses < 60; presses++) {
        if (await page.isChecked(selector)) return;
        await page.keyboard.press('ArrowDown');
      }
      throw new Error(`${selector} is not reached by the arrows`);
    },
  };
}

const main = '#screen button.main';

/** Cautions, the unit, and the walk begun. */
export async function beginWalk(
  page: Page,
  hand: Hand,
  serial: string,
  look: (name: string) => Promise<void> = async () => {},
): Promise<void> {
  await readCautions(page, hand, look);
  await look('unit');
  if ((await page.locator('#serial').count()) > 0) {
    await hand.fill('#serial', serial);
    await hand.press('#screen form button.main');
  } else {
    await hand.press(`#screen .unit-choice button:has-text("${serial}")`);
  }
  await look('begin');
  await hand.press(main);
}

export async function readCautions(
  page: Page,
  hand: Hand,
  look: (name: string) => Promise<void> = async () => {},
): Promise<void> {
  await page.waitForSelector('#screen .caution');
  await look('cautions');
  const ids = await page.locator('#screen .caution input').evaluateAll((all) => all.map(({ id }) => id));
  for (const id of ids) await hand.check(`#${id}`);
  await hand.press(main);
}

export interface Asked {
  /** Told by what stands on the screen. */
  readonly kind: string;
  readonly head: string;
}

export async function whatIsAsked(page: Page): Promise<Asked> {
  const head = ((await page.locator('#screen h2').textContent()) ?? '').trim();
  const code = (await page.locator('html').getAttribute('lang')) ?? '';
  const words = languages[isLanguageCode(code) ? code : 'en'];
  const { keys } = words.walk;
  const labels = Object.fromEntries(
    Object.entries({
      toResult: words.pocket.result.toResult,
      yesAll: keys.yesAll,
      take: keys.take,
      good: keys.good,
      restored: keys.restored,
      cannot: keys.cannot,
      breakOff: keys.breakOff,
      yes: keys.yes,
    }).map(([name, text]) => [name, text.charAt(0).toUpperCase() + text.slice(1)]),
  ) as Record<'toResult' | 'yesAll' | 'take' | 'good' | 'restored' | 'cannot' | 'breakOff' | 'yes', string>;
  const kind = await page.evaluate((says) => {
    const has = (selector: string) => document.querySelector(`#screen ${selector}`) !== null;
    const button = (text: string) =>
      [...document.querySelectorAll('#screen button')].some((one) => one.textContent?.startsWith(text));
    if (button(says.toResult)) return 'ended';
    if (has('.caution')) return 'cautions';
    if (has('#card')) return 'card';
    if (has('#last-four')) return 'plate';
    if (has('#version')) return 'version';
    if (has('#lead')) return 'lead';
    if (has('#setting-0')) return 'settings';
    if (button(says.yesAll)) return 'starts';
    if (has('#hold-start')) return 'hold';
    if (has('#wait-go')) return 'wait';
    if (has('#minutes')) return 'plate-time';
    if (has('#field-seen')) return 'watch';
    if (has('#reading')) return 'reading';
    if (button(says.take)) return 'review';
    if (button(says.good)) return 'meter';
    if (button(says.restored)) return 'restore';
    if (has('#case')) return 'case';
    if (has('#told')) return 'told';
    if (has('#field-choice')) return 'choice';
    if (button(says.cannot)) return 'do';
    if (button(says.breakOff)) return 'stopped';
    if (button(says.yes)) return 'sign';
    return 'other';
  }, labels);
  return { kind, head };
}

/** Until the walk is over or the plan says to stop looking on; the kinds of question it saw, in order. */
export async function walkThrough(
  page: Page,
  hand: Hand,
  plan: WalkPlan,
  look: (asked: Asked) => Promise<'on' | 'enough'> = async () => 'on',
): Promise<Asked[]> {
  const seen: Asked[] = [];
  const versions = [...plan.versions];
  const lights = [...plan.lights];
  for (let turn = 0; turn < 200; turn++) {
    const asked = await whatIsAsked(page);
    seen.push(asked);
    if ((await look(asked)) === 'enough' || asked.kind === 'ended') return seen;
    await answer(page, hand, plan, asked, versions, lights);
  }
  throw new Error(`no end in sight: ${seen.map(({ kind }) => kind).join(', ')}`);
}

async function answer(
  page: Page,
  hand: Hand,
  plan: WalkPlan,
  { kind, head }: Asked,
  versions: string[],
  lights: string[],
): Promise<void> {
  const formMain = '#screen form button.main';
  switch (kind) {
    case 'card':
      await hand.fill('#card', 'Card 7');
      return hand.press(formMain);
    case 'plate':
      await hand.fill('#last-four', plan.lastFour);
      await hand.fill('#revision', plan.revision);
      return hand.press(formMain);
    case 'version': {
      const version = versions.length > 1 ? versions.shift() : versions[0];
      await hand.fill('#version', version ?? '');
      return hand.press(formMain);
    }
    case 'settings': {
      const count = await page.locator('#screen input').count();
      for (let i = 0; i < count; i++) await hand.fill(`#setting-${i}`, String(i + 3));
      return hand.press(formMain);
    }
    case 'plate-time':
      return hand.press('#screen button.other');
    case 'wait':
      await page.clock.fastForward(3_600_000);
      await page.clock.runFor(500);
      return hand.press('#wait-go');
    case 'reading':
      await hand.fill('#reading', plan.reading ?? '0,4');
      return hand.press(formMain);
    case 'watch': {
      const pattern = lights.shift();
      if (pattern === undefined) throw new Error(`nothing left to see at ${head}`);
      if (pattern === 'late') {
        await page.clock.fastForward(7_200_000);
        await page.clock.runFor(500);
        return hand.press('#time-up-go');
      }
      await hand.check(
        pattern === 'unlisted' ? '#seen-other' : `.choice-card[data-pattern="${pattern}"] input[type=radio]`,
      );
      return hand.press(formMain);
    }
    case 'choice': {
      const values = await page
        .locator('#field-choice input')
        .evaluateAll((all) => all.map((input) => (input as HTMLInputElement).value));
      const wanted = values.indexOf(plan.left ?? '');
      await hand.check(`#choice-${Math.max(0, wanted)}`);
      return hand.press(formMain);
    }
    case 'case':
    case 'told':
      return hand.press('#screen button.other');
    case 'hold':
    case 'starts':
    case 'do':
    case 'meter':
    case 'review':
    case 'sign':
    case 'restore':
      return hand.press('#screen button.main');
    default:
      throw new Error(`no answer is known to ${kind} at ${head}`);
  }
}

/** Signs the outcome, and waits for its code. */
export async function makeResult(page: Page, hand: Hand): Promise<void> {
  await hand.press('#screen button.main');
  await page.waitForSelector('#by');
  await hand.fill('#by', 'R. Quill');
  await hand.press('#screen form button.main');
  await page.waitForSelector('.qr');
}
