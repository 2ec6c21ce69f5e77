// The numbered steps in a browser: a box, the number, what to do, and beside it what comes of it. Every way on is a
// link to its step; on paper the number does.

import { stepColumns } from '../content/step-columns.ts';
import { type StepContent, type StepLine, stepContent, viewOfStep } from '../content/step-content.ts';
import type { SheetStep } from '../sheet-step.ts';
import { shows } from './html-lights.ts';
import { blank, box, type HtmlForm, paragraph, section, table, text, ticked, written } from './html-parts.ts';

function link(go: string, to: number | null): string {
  return to === null ? `<b>${text(go)}</b>` : `<b><a href="#step-${to}">${text(go)}</a></b>`;
}

function rowBoxes(form: HtmlForm): string {
  const boxes = form.view.units.map(
    ({ row }) => `<span class="tick"><span>${row}</span> ${box(form)}</span>`,
  );
  return `<span class="flow">${boxes.join('')}</span>`;
}

function rowHeads({ view, words }: HtmlForm): string[] {
  return view.units.map(({ row, lastFour }) => `${words.steps.rowMark(row, lastFour)}:`);
}

/** Once for each row, headed by it where there are several. */
function eachRow(form: HtmlForm, content: string): string {
  if (form.view.units.length === 1) return content;
  return rowHeads(form)
    .map((head) => `<div class="rows"><b>${text(head)}</b>\n${content}</div>\n`)
    .join('');
}

const isItem = (line: StepLine): boolean =>
  ['say', 'reading', 'setting', 'tick', 'stand', 'choose'].includes(line.kind);

function item(form: HtmlForm, line: StepLine): string {
  switch (line.kind) {
    case 'say':
      return `<span class="say">${text(line.text)}</span>`;
    case 'reading':
    case 'setting': {
      const end = line.end === null ? '' : ` ${text(line.end)}`;
      return `<span class="item">${text(line.label)} ${blank(form, line.kind === 'reading' ? 6.5 : 11)}${end}</span>`;
    }
    case 'stand':
      // One box for several rows would say nothing: there those of the step itself do.
      return form.view.units.length > 1
        ? `<span class="item">\u2013 ${text(line.text)}</span>`
        : ticked(form, line.text);
    case 'tick':
      return ticked(form, line.text);
    case 'choose': {
      const choices = line.choices.map((choice) => ticked(form, choice)).join('');
      return `<span class="flow"><b>${text(`${line.label}:`)}</b>${choices}</span>`;
    }
    default:
      return '';
  }
}

function line(form: HtmlForm, one: StepLine): string {
  switch (one.kind) {
    case 'way':
      return `<p class="ways">${text(one.when)} ${link(one.go, one.to)}</p>\n`;
    case 'fill':
      return eachRow(form, `<p>${written(form, one.text)}</p>\n`);
    case 'tickRows':
      return form.view.units.length === 1
        ? `<p>${ticked(form, one.text)}</p>\n`
        : `<div class="rows flow"><span>${text(one.text)}</span>${rowBoxes(form)}</div>\n`;
    case 'watch':
      return table(
        'watch',
        one.titles,
        one.rows.map((row) => [
          typeof row.sees === 'string' ? `<b>${text(row.sees)}</b>` : shows(form, row.sees, false),
          row.means.map(text).join('<br>'),
          link(row.go, row.to),
        ]),
      );
    case 'eachRow':
      return eachRow(form, lines(form, one.lines));
    default:
      return '';
  }
}

/** What is short flows in one run; everything else stands on its own. */
function lines(form: HtmlForm, all: readonly StepLine[]): string {
  let out = '';
  let run: string[] = [];
  const flush = () => {
    if (run.length > 0) out += `<div class="run">${run.join('\n')}</div>\n`;
    run = [];
  };
  for (const one of all) {
    if (isItem(one)) run.push(item(form, one));
    else {
      flush();
      out += line(form, one);
    }
  }
  flush();
  return out;
}

function outcome(form: HtmlForm, says: StepContent, right: readonly StepLine[]): string {
  const { tries, onward, sets } = says;
  const boxes = tries === null ? '' : Array.from({ length: tries.boxes }, () => box(form)).join(' ');
  return [
    lines(form, right),
    tries === null ? '' : eachRow(form, `<p>${text(tries.text)} ${boxes}</p>\n`),
    sets === null ? '' : paragraph(sets),
    onward === null ? '' : `<p class="onward">${link(onward.go, onward.to)}</p>\n`,
    form.view.units.length === 1
      ? ''
      : `<div class="rows flow"><span>${text(form.words.steps.done)}</span>${rowBoxes(form)}</div>\n`,
  ].join('');
}

function step(whole: HtmlForm, one: SheetStep): string {
  const form: HtmlForm = { ...whole, view: viewOfStep(one, whole.view) };
  const says = stepContent(one, form.view, form.words);
  const rows = form.view.units.length;
  const { left, right, below } = stepColumns(says.lines, rows);
  const then = outcome(form, says, right);
  const action = [
    ...says.before.map((each) => `<span class="before">${text(each)}</span>`),
    `<b>${text(says.action)}</b>`,
    ...(says.taking === '' ? [] : [text(says.taking)]),
  ];
  const why = says.why === null ? '' : paragraph(says.why);
  return `<li id="step-${says.number}" value="${says.number}">
<div class="mark">${rows === 1 ? box(form) : ''}<span>${says.number}</span></div>
<div class="do${then === '' ? ' alone' : ''}">
<p class="action">${action.join(' ')}</p>
${why}${lines(form, left)}</div>
${below.length === 0 ? '' : `<div class="wide">\n${lines(form, below)}</div>\n`}${then === '' ? '' : `<div class="then">\n${then}</div>\n`}</li>
`;
}

export function stepSections(form: HtmlForm): string {
  const { sections } = form.words;
  const part = (name: SheetStep['part']) => {
    const steps = form.view.steps.filter((one) => one.part === name);
    const items = steps.map((one) => step(form, one)).join('');
    return section(name, sections[name], `<ol class="steps" role="list">\n${items}</ol>\n`);
  };
  return part('before') + part('procedure') + part('after');
}
