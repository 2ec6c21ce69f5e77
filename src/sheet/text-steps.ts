// The numbered steps as text: a box to tick, the number, what to do, and where to go next. A step is one block, so
// that it stands on one page; what must be known before doing it comes before what to do.

import { stepContent, viewOfStep } from './content/step-content.ts';
import { fold, foldAfter } from './fold.ts';
import type { Block } from './pages.ts';
import type { SheetStep } from './sheet-step.ts';
import { heading, type TextForm } from './text-form.ts';
import { below, bodyIndent, linePerRow, margin, rowBoxes, stepLines } from './text-step-body.ts';

/** With several rows a step is done once for each of them. */
function doneLines(form: TextForm): string[] {
  if (form.view.units.length === 1) return [];
  return rowBoxes(form, `${margin}${form.words.steps.done} `);
}

/** A box for every time that a step may be tried. */
function triesLines(form: TextForm, { text, boxes }: { text: string; boxes: number }): string[] {
  return linePerRow(form, `${text} ${Array.from({ length: boxes }, () => '[\u00a0]').join(' ')}`);
}

export function stepBlock(step: SheetStep, whole: TextForm): Block {
  const form: TextForm = { ...whole, view: viewOfStep(step, whole.view) };
  const { words, view } = form;
  const says = stepContent(step, view, words);
  const box = view.units.length === 1 ? '[ ]' : '   ';
  const lead = ` ${box} ${String(step.number).padStart(2)} `.padEnd(bodyIndent);
  const taking = says.taking === '' ? '' : ` ${says.taking}`;
  const [first = '', ...more] = [...says.before, `${says.action}${taking}`];
  const maybe = (text: string | null) => (text === null ? [] : below(form, text));
  return {
    lines: [
      '',
      ...foldAfter(lead, first, form.width),
      ...more.flatMap((text) => below(form, text)),
      ...maybe(says.why),
      ...says.lines.flatMap((line) => stepLines(form, line)),
      ...(says.tries === null ? [] : triesLines(form, says.tries)),
      ...maybe(says.sets),
      ...maybe(says.onward?.go ?? null),
      ...doneLines(form),
    ],
    continued: `${margin}${fold(`${words.steps.step(step.number)}, ${words.head.continued}`, form.width - bodyIndent)[0] ?? ''}`,
  };
}

export function stepsBlocks(form: TextForm): Block[] {
  const { sections } = form.words;
  const part = (name: SheetStep['part']) =>
    form.view.steps.filter((step) => step.part === name).map((step) => stepBlock(step, form));
  return [
    heading(form, sections.before),
    ...part('before'),
    heading(form, sections.procedure),
    ...part('procedure'),
    heading(form, sections.after),
    ...part('after'),
  ];
}
