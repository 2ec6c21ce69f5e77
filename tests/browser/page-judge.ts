// What can be measured of a page on a phone: what is cut off or lies beyond the edge, what is too small or too close to
// be hit with gloves on, what a judge of accessibility finds, and how often anything flashes.

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** Texts wider than the screen, and texts that their own box cuts off. */
export function cutOff(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const found: string[] = [];
    const { documentElement } = document;
    if (documentElement.scrollWidth > documentElement.clientWidth) {
      found.push(`the page is ${documentElement.scrollWidth} wide on ${documentElement.clientWidth}`);
    }
    for (const element of document.body.querySelectorAll<HTMLElement>('*')) {
      if (element.closest('.heard, script, svg') !== null) continue;
      const box = element.getBoundingClientRect();
      if (box.width === 0 || box.height === 0) continue;
      const name = `${element.tagName.toLowerCase()} "${(element.textContent ?? '').trim().slice(0, 40)}"`;
      if (box.right > documentElement.clientWidth + 1 || box.left < -1)
        found.push(`${name} lies beyond the edge`);
      const style = getComputedStyle(element);
      const clips = style.overflowX !== 'visible' || ['BUTTON', 'LABEL', 'P', 'LI'].includes(element.tagName);
      if (clips && element.scrollWidth > element.clientWidth + 1 && style.display !== 'inline') {
        found.push(`${name} is wider than its box`);
      }
    }
    return found;
  });
}

/** Less than 48 px either way, or closer than 8 px to the next one. */
export function hardToHit(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    interface Target {
      readonly name: string;
      readonly box: { left: number; right: number; top: number; bottom: number };
      readonly element: Element;
    }
    const targets: Target[] = [];
    const put = (element: Element, rects: DOMRect[]) => {
      const shown = rects.filter(({ width, height }) => width > 0 && height > 0);
      if (shown.length === 0) return;
      targets.push({
        name: `${element.tagName.toLowerCase()}#${element.id} "${(element.textContent ?? '').trim().slice(0, 30)}"`,
        element,
        box: {
          left: Math.min(...shown.map(({ left }) => left)),
          right: Math.max(...shown.map(({ right }) => right)),
          top: Math.min(...shown.map(({ top }) => top)),
          bottom: Math.max(...shown.map(({ bottom }) => bottom)),
        },
      });
    };
    for (const element of document.querySelectorAll('button, a[href], input, textarea, select')) {
      if (getComputedStyle(element).visibility === 'hidden') continue;
      const rects = [element.getBoundingClientRect()];
      // A ring or a box and its label are one target.
      if (element instanceof HTMLInputElement && ['radio', 'checkbox'].includes(element.type)) {
        for (const label of element.labels ?? []) rects.push(label.getBoundingClientRect());
      }
      put(element, rects);
    }
    const found: string[] = [];
    for (const { name, box } of targets) {
      const [width, height] = [box.right - box.left, box.bottom - box.top];
      if (width < 47.9 || height < 47.9)
        found.push(`${name} is ${Math.round(width)} by ${Math.round(height)}`);
    }
    for (const [i, one] of targets.entries()) {
      for (const other of targets.slice(i + 1)) {
        // What floats at the bottom passes over the rest; links in running text lie where the text puts them.
        if (one.element.closest('#places') !== other.element.closest('#places')) continue;
        if (one.element.tagName === 'A' && other.element.tagName === 'A') continue;
        const across = Math.max(one.box.left - other.box.right, other.box.left - one.box.right);
        const down = Math.max(one.box.top - other.box.bottom, other.box.top - one.box.bottom);
        if (Math.max(across, down) < 7.9) found.push(`${one.name} lies too close to ${other.name}`);
      }
    }
    return found;
  });
}

interface AxeResult {
  readonly id: string;
  readonly nodes: readonly { readonly target: readonly string[]; readonly failureSummary?: string }[];
}

/** Everything that axe-core holds against it, best practice included. */
export async function axeViolations(page: Page): Promise<string[]> {
  await page.evaluate(`if (!window.axe) { ${axe} }`);
  const violations = await page.evaluate(async () => {
    const { axe: judge } = window as unknown as { axe: { run(): Promise<{ violations: AxeResult[] }> } };
    return (await judge.run()).violations;
  });
  return violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id}: ${target.join(' ')} ${failureSummary ?? ''}`),
  );
}

export interface Flashes {
  /** The most beginnings of light, of all lamps together, within one second. */
  readonly mostInSecond: number;
  /** Moments at which any lamp began to be lit or changed its colour. */
  readonly beginnings: number;
  readonly looks: number;
}

/** Looks at every lamp once a frame, for some seconds of real time. */
export function watchLamps(page: Page, seconds: number): Promise<Flashes> {
  return page.evaluate(async (lengthMs) => {
    const lamps = [...document.querySelectorAll('.lamp')].filter(
      (lamp) => lamp.getBoundingClientRect().width > 0,
    );
    const colours = () => lamps.map((lamp) => getComputedStyle(lamp).backgroundColor);
    const dark = 'rgb(28, 28, 28)';
    const begun: number[] = [];
    let before = colours();
    let looks = 0;
    const from = performance.now();
    while (performance.now() - from < lengthMs) {
      const at = await new Promise<number>((next) => requestAnimationFrame(next));
      looks += 1;
      const now = colours();
      if (now.some((colour, i) => colour !== dark && colour !== before[i])) begun.push(at);
      before = now;
    }
    // A second and no more: what lies a whole second apart is not within one.
    const most = begun.map((at) => begun.filter((other) => other >= at && other < at + 1000).length);
    return { mostInSecond: Math.max(0, ...most), beginnings: begun.length, looks };
  }, seconds * 1000);
}
