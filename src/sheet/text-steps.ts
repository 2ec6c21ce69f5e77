// The numbered steps as text: a box to tick, the number, what to do, and where to go next. A step is one block, so
// that it stands on one page; what must be known before doing it comes before what to do.

import { fold, foldAfter } from './fold.ts';
import type { Block } from './pages.ts';
import type { SheetStep, SheetStepBody } from './sheet-step.ts';
import { heading, type TextForm } from './text-form.ts';
import {
  action,
  below,
  bodyIndent,
  details,
  goToText,
  linePerRow,
  margin,
  placedText,
  rowBoxes,
} from './text-step-body.ts';

/** Capital only where it stands at the beginning of a sentence. */
function asSentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}

const saysWaysOn: readonly SheetStepBody['kind'][] = ['measure', 'watch', 'read', 'confirm'];

function onward(form: TextForm, { body, goTo }: SheetStep): string[] {
  if (goTo === null || goTo.isNext || saysWaysOn.includes(body.kind)) return [];
  return below(form, asSentence(goToText(form, goTo)));
}

/** With several rows a step is done once for each of them. */
function doneLines(form: TextForm): string[] {
  if (form.view.units.length === 1) return [];
  return rowBoxes(form, `${margin}${form.words.steps.done} `);
}

/** A box for every time that a step may be tried. */
function triesLines(form: TextForm, tries: number): string[] {
  const boxes = Array.from({ length: tries }, () => '[ ]').join(' ');
  return linePerRow(form, `${form.words.steps.tickTries} ${boxes.replaceAll('[ ]', '[\u00a0]')}`);
}

export function stepBlock(step: SheetStep, form: TextForm): Block {
  const { words, view } = form;
  const { steps } = words;
  const box = view.units.length === 1 ? '[ ]' : '   ';
  const lead = ` ${box} ${String(step.number).padStart(2)} `.padEnd(bodyIndent);
  const only =
    step.onlyFrom === null
      ? []
      : step.onlyFrom.length === 0
        ? [steps.onlyFromNowhere]
        : [steps.onlyFrom(step.onlyFrom)];
  const sayings = [
    ...only,
    ...(step.tries === null ? [] : [steps.tries(step.tries.tries, step.tries.otherwise.number)]),
    ...(step.needs.length === 0 ? [] : [`${steps.needs} ${placedText(form, step.needs)}`]),
  ];
  const taking = step.takesSeconds === null ? '' : ` ${steps.takes(words.duration(step.takesSeconds))}`;
  const [first = '', ...more] = [...sayings, `${action(form, step.body)}${taking}`];
  return {
    lines: [
      '',
      ...foldAfter(lead, first, form.width),
      ...more.flatMap((text) => below(form, text)),
      ...(step.why === null ? [] : below(form, `${steps.why} ${step.why}`)),
      ...details(form, step),
      ...(step.tries === null ? [] : triesLines(form, step.tries.tries)),
      ...(step.sets.length === 0 ? [] : below(form, `${steps.sets} ${placedText(form, step.sets)}`)),
      ...onward(form, step),
      ...doneLines(form),
    ],
    continued: `${margin}${fold(`${steps.step(step.number)}, ${words.head.continued}`, form.width - bodyIndent)[0] ?? ''}`,
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
