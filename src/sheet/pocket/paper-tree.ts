// All that a sheet says, from top to bottom, for a phone: what stands there without any script, what is read as the
// list of all steps, and what is printed from the phone. In the order of the paper: cautions before anything else.

import { failureContent, type ResultField, resultFields } from '../content/back-content.ts';
import {
  bringItems,
  cautionGroups,
  type Field,
  orderText,
  rulesContent,
  sourceFields,
  timeSayings,
  unitLines,
} from '../content/front-content.ts';
import { patternWords } from '../content/light-content.ts';
import type { SheetLanguage } from '../language.ts';
import type { SheetView } from '../sheet-view.ts';
import { moves, showsTree, slowedBy } from './light-tree.ts';
import { stepTree } from './step-tree.ts';
import { el, type Tree, type TreeElement } from './tree.ts';

function section(id: string, title: string, ...children: readonly (Tree | readonly Tree[])[]): TreeElement {
  return el(
    'section',
    { id, 'aria-labelledby': `${id}-title` },
    el('h2', { id: `${id}-title`, tabindex: -1 }, title),
    ...children,
  );
}

function list(items: readonly string[], className = 'plain'): TreeElement {
  return el('ul', { class: className }, ...items.map((text) => el('li', {}, text)));
}

const p = (text: string, className?: string) =>
  el('p', className === undefined ? {} : { class: className }, text);

function head(view: SheetView, words: SheetLanguage): TreeElement {
  const { product, release, made, byHand, units } = view;
  const says = words.head;
  return section(
    'head',
    `${says.sheet} ${view.number}`,
    p(`${product.name}, ${says.maker(product.maker)}`),
    p(`${says.work(release.version)} (${release.id})`, 'strong'),
    p(
      [
        byHand ? says.oneUnit : says.units(units.length),
        says.made(made.day, made.time),
        made.by === null ? '' : says.by(made.by),
      ]
        .filter(Boolean)
        .join(' '),
    ),
  );
}

function cautions(view: SheetView, words: SheetLanguage): TreeElement {
  const groups = cautionGroups(view, words).flatMap(({ intro, items }): Tree[] => [
    ...(intro === null ? [] : [el('h3', {}, intro)]),
    el(
      'ol',
      { class: 'cautions', start: items[0]?.number },
      ...items.map(({ title, text }) =>
        el('li', {}, ...(title === '' ? [] : [el('strong', {}, title), ' ']), text),
      ),
    ),
  ]);
  return section('cautions', words.sections.cautions, p(words.cautions.readAloud), groups);
}

function fieldList(fields: readonly Field[]): TreeElement {
  return el(
    'dl',
    {},
    ...fields.flatMap(({ label, text, warning }) => [
      el('dt', warning ? { class: 'warning' } : {}, label),
      el('dd', warning ? { class: 'warning' } : {}, text),
    ]),
  );
}

function units(view: SheetView, words: SheetLanguage): TreeElement[] {
  const lines = unitLines(view, words);
  if (lines.length === 0) return [];
  const { units: says } = words;
  const order = orderText(view, words);
  return [
    section(
      'units',
      words.sections.units,
      el(
        'ol',
        { class: 'units' },
        ...lines.map((line) =>
          el(
            'li',
            {},
            el('strong', {}, line.serial),
            `, ${says.revision} ${line.revision}, ${line.site}. ${says.last}: ${line.last.join(', ')}. ${line.details}`,
          ),
        ),
      ),
      ...(order === null ? [] : [p(order)]),
    ),
  ];
}

function rules(view: SheetView, words: SheetLanguage): TreeElement {
  const { starts, never, whileBusy } = rulesContent(view, words);
  return section(
    'rules',
    words.sections.rules,
    p(words.rules.starts),
    list(starts),
    ...(never.length === 0 ? [] : [p(words.rules.never, 'strong'), list(never)]),
    ...(whileBusy === null ? [] : [p(whileBusy, 'strong')]),
  );
}

function steps(view: SheetView, words: SheetLanguage): TreeElement[] {
  const parts = ['before', 'procedure', 'after'] as const;
  return parts.flatMap((part) => {
    const own = view.steps.filter((step) => step.part === part);
    if (own.length === 0) return [];
    const trees = own.map((step) => stepTree(step, view, words));
    return [section(part, words.sections[part], el('ol', { class: 'steps' }, ...trees))];
  });
}

function lights(view: SheetView, words: SheetLanguage): TreeElement {
  const { pocket } = words;
  const patterns = view.patterns.map((pattern) => {
    const { means, busy } = patternWords(pattern, words);
    const slower = slowedBy(pattern.shows, view.lights);
    return el(
      'li',
      { class: 'pattern', 'data-pattern': pattern.id },
      el('h3', {}, means),
      ...(busy === null ? [] : [p(busy, 'warning')]),
      ...showsTree(pattern.shows, view.lights, words, { off: true, sweep: true }),
      ...(moves(pattern.shows) && slower > 1.01 ? [p(pocket.lights.slowed(slower), 'slowed')] : []),
    );
  });
  return section(
    'lights',
    words.sections.lights,
    p(words.lights.introDrawn),
    el('ul', { class: 'patterns' }, ...patterns),
  );
}

function failure(view: SheetView, words: SheetLanguage): TreeElement {
  const { points, helpline } = failureContent(view, words);
  return section(
    'failure',
    words.sections.failure,
    el(
      'ul',
      { class: 'plain' },
      ...points.map(({ text, list: inner }) =>
        el('li', {}, text, ...(inner.length === 0 ? [] : [list(inner)])),
      ),
    ),
    p(
      helpline.number === null ? `${helpline.label} ____________` : `${helpline.label} ${helpline.number}`,
      'strong',
    ),
  );
}

const blank = '________________';

function fieldText(field: ResultField): string {
  switch (field.kind) {
    case 'write':
      return `${field.label} ${blank}`;
    case 'given':
      return `${field.label} ${field.text}`;
    case 'fill':
      return field.text;
    case 'choose':
      return `${field.label}: ${field.choices.join(' / ')}`;
  }
}

/** For a pen: where there is no script, and on paper. */
function results(view: SheetView, words: SheetLanguage): TreeElement {
  const rows = view.units.map((unit) =>
    el(
      'div',
      { class: 'row' },
      el('h3', {}, words.steps.rowMark(unit.row, null)),
      list(resultFields(unit, words).map(fieldText), 'fields'),
    ),
  );
  return section('results', words.sections.results, p(words.results.intro), rows);
}

export function paperTree(view: SheetView, words: SheetLanguage): TreeElement[] {
  const [comes, stands] = sourceFields(view, words);
  return [
    head(view, words),
    cautions(view, words),
    section('source', words.sections.source, fieldList([...comes, ...stands])),
    section(
      'time',
      words.sections.time,
      timeSayings(view, words).map(({ text, isHour }) => p(text, isHour ? 'strong' : undefined)),
    ),
    section('bring', words.sections.bring, list(bringItems(view, words))),
    ...units(view, words),
    rules(view, words),
    ...steps(view, words),
    lights(view, words),
    failure(view, words),
    results(view, words),
  ];
}
