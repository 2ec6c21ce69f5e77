// A judge of printed pages that knows the manifest as it was written, the language's own texts of cautions, and the
// words that came off the page (read by a stock tool or out of the markup); nothing of the code between them. Each
// complaint is a line.

import { alwaysCautions } from '../../../src/sheet/cautions.ts';
import { en } from '../../../src/sheet/languages/en.ts';
import type { Written, WrittenStep } from '../procedure/written-product.ts';
import { branchComplaints } from './sheet-judge.ts';

export interface PrintedSteps {
  readonly product: Written;
  /** Settings that the release resets. */
  readonly resets: readonly string[];
  readonly version: string;
}

/** One line, single blanks; what is only drawn is no word. */
export function plainWords(text: string): string {
  return text.replace(/_{2,}/g, ' ').replace(/\s+/g, ' ').trim();
}

/** A page's lines without its foot: number and page, product and record. */
export function withoutFoot(page: string): string {
  const isFoot = (line: string) => /^Sheet \S+ page \d+ of \d+/.test(line) || /\. Record: \S/.test(line);
  return page
    .split('\n')
    .filter((line) => !isFoot(line))
    .join('\n');
}

/** Pages as pdftotext gives them with `-raw`: what stands between a step's number and the next one's. */
export function stepsOnPages(pages: readonly string[]): Map<number, string> {
  const lines = pages.flatMap((page) => withoutFoot(page).split('\n'));
  const from = lines.indexOf('BEFORE YOU TOUCH ANYTHING');
  const to = lines.indexOf('WHAT THE LIGHTS SAY');
  const steps = new Map<number, string>();
  let number = 0;
  for (const line of lines.slice(from + 1, to)) {
    if (line === String(number + 1) || line.startsWith(`${number + 1} `)) number += 1;
    steps.set(number, `${steps.get(number) ?? ''} ${line}`);
  }
  steps.delete(0);
  return new Map([...steps].map(([at, text]) => [at, plainWords(text)]));
}

function placing(positions: unknown): string[] {
  return Object.entries((positions ?? {}) as Record<string, string>).map(
    ([name, state]) => `${name} ${state}`,
  );
}

/** What of a written step must be read on the page. */
function mustSay(step: WrittenStep, product: Written): string[] {
  const measure = (step.measure ?? {}) as { what?: string; between?: string[]; from?: number; to?: number };
  const patterns = product.patterns as { id: string; means: string }[];
  const watched = Object.keys((step.watch ?? {}) as object);
  return [
    ...[step.do, step.why, step.where].filter((text) => typeof text === 'string'),
    ...(measure.what === undefined ? [] : [measure.what, `from ${measure.from} to ${measure.to}`]),
    ...(measure.between ?? []),
    ...watched.map((id) => patterns.find((pattern) => pattern.id === id)?.means ?? `pattern ${id}`),
    ...(step.confirm === 'serves' ? (product.serves as string[]) : []),
    ...placing(step.needs),
    ...placing(step.sets),
    ...placing(step.leaves),
    ...(typeof step.hold === 'string' ? [`HOLD ${step.hold}`] : []),
    ...(step.end === undefined ? [] : [`END: ${String(step.end).toUpperCase()}`]),
  ].map(plainWords);
}

export function stepComplaints(steps: ReadonlyMap<number, string>, expected: PrintedSteps): string[] {
  const { product, resets } = expected;
  const told = branchComplaints(steps, product, resets.length);
  const first = resets.length > 0 ? 4 : 3;
  (product.procedure as WrittenStep[]).forEach((step, index) => {
    const said = steps.get(first + index) ?? '';
    for (const text of mustSay(step, product)) {
      if (!said.includes(text))
        told.push(`step ${first + index} (${step.id}) does not say "${text}": ${said}`);
    }
  });
  for (const setting of resets) {
    if (!steps.get(3)?.includes(setting)) told.push(`setting ${setting} is not noted at step 3`);
  }
  return told;
}

/** All of the page's words, in one line. */
export function frontComplaints(all: string, { product }: PrintedSteps): string[] {
  const told: string[] = [];
  const cautions = [
    ...alwaysCautions.map((key) => en.always[key]),
    ...(product.hazards as (keyof typeof en.hazards)[]).map((key) => en.hazards[key]),
  ].map(({ title, text }) => `${title.toUpperCase()} ${text}`);
  let at = -1;
  for (const caution of cautions.map(plainWords)) {
    if (!all.includes(caution)) told.push(`no caution: ${caution}`);
  }
  for (const caution of (product.cautions ?? []) as string[]) {
    if (!all.includes(plainWords(caution))) told.push(`no caution: ${caution}`);
  }
  // The sections in the order in which they are read.
  for (const title of ['CAUTIONS', 'BEFORE YOU TOUCH ANYTHING', "THE MAKER'S PROCEDURE", 'AFTERWARDS']) {
    const found = all.indexOf(title, at + 1);
    if (found < 0) told.push(`${title} is missing, or out of order`);
    else at = found;
  }
  // A pattern is explained at the step that watches for it, else in the chart.
  const watched = new Set(
    (product.procedure as WrittenStep[]).flatMap(({ watch }) => Object.keys(watch ?? {})),
  );
  const chart = all.slice(all.indexOf('WHAT THE LIGHTS SAY'));
  for (const { id, means } of product.patterns as { id: string; means: string }[]) {
    if (!(watched.has(id) ? all : chart).includes(plainWords(means))) told.push(`no word on what ${id} is`);
  }
  return told;
}

/** What follows the heading of the rows must not say what the version read ought to be. */
export function resultComplaints(all: string, { version }: PrintedSteps): string[] {
  const results = all.slice(all.lastIndexOf('RESULTS: FILL IN'));
  const told = results.includes(version) ? ['the target version stands with the rows'] : [];
  const fields = [
    'Version before',
    'Version read',
    'Outcome',
    'Lights at the end',
    'Left',
    'Customer told',
    'Note',
  ];
  return [...told, ...fields.filter((field) => !results.includes(field)).map((field) => `no field ${field}`)];
}
