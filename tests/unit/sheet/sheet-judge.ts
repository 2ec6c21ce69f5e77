// A judge of printed sheets that knows the manifest as it was written and the paper, and nothing of the code
// between them. Each complaint is a line.

import type { Written, WrittenStep } from '../procedure/written-product.ts';

export interface Expected {
  readonly product: Written;
  /** Settings that the release resets: a third step in the frame before. */
  readonly resets: number;
  readonly version: string;
  readonly width: number;
  readonly pageLines: number;
}

/** ` [ ] 12  text` or, with several rows, `     12  text`. */
const lead = /^ (?:\[ \]| {3}) ( ?\d+) {1,3}\S/;

export function complaints(text: string, expected: Expected): string[] {
  const { product, resets, version, width, pageLines } = expected;
  const told: string[] = [];
  const pages = text.split('\f').map((page) => page.replace(/\n$/, '').split('\n'));

  pages.forEach((lines, index) => {
    if (lines.length !== pageLines) told.push(`page ${index + 1} has ${lines.length} lines`);
    if (!new RegExp(`page ${index + 1} of ${pages.length}\\b`).test(lines.at(-1) ?? ''))
      told.push(`page ${index + 1} has no foot`);
    const begins = lines.find((line) => line !== '') ?? '';
    if (/^ {9,}\S/.test(begins) && !begins.includes('continued'))
      told.push(`page ${index + 1} begins within a step`);
  });
  const all = pages.flatMap((lines) => lines.slice(0, -1));
  for (const line of all) {
    if (line.length > width) told.push(`too wide: ${line}`);
    if (/[^\n\x20-\x7e]/.test(line)) told.push(`not plain: ${line}`);
  }

  const from = all.indexOf('BEFORE YOU TOUCH ANYTHING');
  const to = all.indexOf('WHAT THE LIGHTS SAY');
  const results = all.findIndex((line) => line.startsWith('RESULTS'));
  if (from < 0 || to < from || results < to) return [...told, 'sections are missing or out of order'];
  if (all.indexOf('CAUTIONS') > 8) told.push('the cautions do not come first');
  if (all.slice(results).some((line) => line.includes(version)))
    told.push('the target version stands with the rows');

  const blocks = new Map<number, string>();
  let number = 0;
  for (const line of all.slice(from, to)) {
    const match = lead.exec(line);
    if (match !== null) {
      number = Number(match[1]);
      if (blocks.has(number)) told.push(`step ${number} stands twice`);
      blocks.set(number, '');
    }
    if (number > 0)
      blocks.set(number, `${blocks.get(number)} ${line.trim()}`.replace(/[|]/g, ' ').replace(/\s+/g, ' '));
  }
  return [...told, ...branchComplaints(blocks, product, resets)];
}

/** Whether each step says what it must and sends where it must, from what stands between its number and the next. */
export function branchComplaints(
  blocks: ReadonlyMap<number, string>,
  product: Written,
  resets: number,
): string[] {
  const told: string[] = [];
  const written = product.procedure as WrittenStep[];
  const first = resets > 0 ? 4 : 3;
  const numbers = new Map(written.map((step, index) => [step.id, first + index]));
  const last = Math.max(...blocks.keys());
  if (blocks.size !== last) told.push(`${blocks.size} steps, the last is ${last}`);
  for (const [, said] of blocks) {
    for (const match of said.matchAll(/\bstep (\d+)/gi)) {
      if (Number(match[1]) < 1 || Number(match[1]) > last) told.push(`no step ${match[1]}: ${said}`);
    }
  }
  for (const step of written) {
    const said = blocks.get(numbers.get(step.id)!) ?? '';
    const watched = Object.values((step.watch ?? {}) as Record<string, string>);
    const sends = [
      step.then,
      step.otherwise,
      step.late,
      step.unlisted,
      step.other,
      step.unreadable,
      ...watched,
    ];
    for (const name of sends) {
      if (name === undefined || name === step.id) continue;
      const to = numbers.get(name as string)!;
      const isNext = to === numbers.get(step.id)! + 1;
      if (isNext || new RegExp(`STEP ${to}\\b`).test(said)) continue;
      told.push(`step ${step.id} does not send to ${to}: ${said}`);
    }
    if (typeof step.do === 'string' && !said.includes(step.do))
      told.push(`step ${step.id} does not say ${step.do}`);
    if (step.watch !== undefined && !/do not cut the power/.test(said) && busy(product, step)) {
      told.push(`step ${step.id} does not say to keep hands off`);
    }
  }
  return told;
}

function busy(product: Written, step: WrittenStep): boolean {
  const patterns = product.patterns as { id: string; busy?: boolean }[];
  return Object.keys(step.watch as object).some(
    (name) => patterns.find(({ id }) => id === name)?.busy === true,
  );
}
