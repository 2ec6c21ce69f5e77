// One step as it stands in the list of all steps on a phone: the same lines as on paper, with what has to be written
// left to the walk and the result. On paper, printed from the phone, the blanks are there.

import { type StepContent, type StepLine, stepContent } from '../content/step-content.ts';
import type { SheetLanguage } from '../language.ts';
import type { SheetStep } from '../sheet-step.ts';
import type { SheetView } from '../sheet-view.ts';
import { showsTree } from './light-tree.ts';
import { el, type Tree, type TreeElement } from './tree.ts';

type WatchLines = Extract<StepLine, { kind: 'watch' }>;

function watchTree({ titles, rows }: WatchLines, view: SheetView, words: SheetLanguage): TreeElement {
  return el(
    'ul',
    { class: 'watch' },
    ...rows.map(({ sees, means, go, to }) =>
      el(
        'li',
        {},
        el('span', { class: 'label' }, titles[0]),
        ...(typeof sees === 'string'
          ? [el('p', {}, sees)]
          : showsTree(sees, view.lights, words, { off: false, sweep: true })),
        el('p', {}, el('span', { class: 'label' }, titles[1]), ` ${means.join(' ')}`),
        el('p', { class: 'go' }, el('span', { class: 'label' }, titles[2]), ' ', goTree(go, to)),
      ),
    ),
  );
}

function lineTree(line: StepLine, view: SheetView, words: SheetLanguage): Tree {
  switch (line.kind) {
    case 'say':
      return el('p', {}, line.text);
    case 'way':
      return el('p', { class: 'go' }, `${line.when} `, goTree(line.go, line.to));
    case 'fill':
      return el('p', { class: 'fill' }, line.text);
    case 'reading':
    case 'setting':
      return el('p', { class: 'item' }, line.end === null ? line.label : `${line.label} (${line.end})`);
    case 'tick':
    case 'tickRows':
    case 'stand':
      return el('p', { class: 'item' }, line.text);
    case 'choose':
      return el('p', { class: 'item' }, `${line.label}: ${line.choices.join(' / ')}`);
    case 'watch':
      return watchTree(line, view, words);
    case 'eachRow':
      return el('div', {}, ...line.lines.map((one) => lineTree(one, view, words)));
  }
}

/** Where it leads, as a link to that step of the list. */
function goTree(go: string, to: number | null): TreeElement {
  return to === null ? el('strong', {}, go) : el('a', { href: `#step-${to}` }, go);
}

function say(className: string, text: string | null): Tree[] {
  return text === null ? [] : [el('p', { class: className }, text)];
}

export function stepTree(step: SheetStep, view: SheetView, words: SheetLanguage): TreeElement {
  const content: StepContent = stepContent(step, view, words);
  const { steps } = words;
  return el(
    'li',
    { id: `step-${step.number}`, class: 'step', 'data-step': step.number },
    el('h3', {}, steps.step(step.number), el('span', { class: 'state' })),
    ...content.before.map((text) => el('p', { class: 'first' }, text)),
    el('p', { class: 'action' }, content.action, ...(content.taking === '' ? [] : [` ${content.taking}`])),
    ...say('why', content.why),
    ...content.lines.map((line) => lineTree(line, view, words)),
    ...say('sets', content.sets),
    ...(content.onward === null
      ? []
      : [el('p', { class: 'go' }, goTree(content.onward.go, content.onward.to))]),
  );
}
