// The back of the sheet in a browser: what to do when it fails, and the rows to fill in, in the record's own order.
// The version that is expected stands nowhere near them.

import { failureContent, type ResultField, resultFields } from '../content/back-content.ts';
import { writeLine } from './html-front.ts';
import { type HtmlForm, list, paragraph, section, text, ticked, written } from './html-parts.ts';

export function failureSection(form: HtmlForm): string {
  const { points, helpline } = failureContent(form.view, form.words);
  const items = points.map(({ text: said, list: inner }) => {
    return text(said) + inner.map((one) => `<div class="strong">${text(one)}</div>`).join('');
  });
  const number =
    helpline.number === null
      ? `<div class="entry">${writeLine(form, helpline.label)}</div>\n`
      : `<p class="ring">${text(`${helpline.label} ${helpline.number}`)}</p>\n`;
  return `<section id="failure" class="framed failure" aria-labelledby="failure-title">
<h2 id="failure-title">${text(form.words.sections.failure)}</h2>
${list(items, 'dashes columns')}${number}</section>
`;
}

function field(form: HtmlForm, one: ResultField): string {
  switch (one.kind) {
    case 'write':
      return writeLine(form, one.label);
    case 'given':
      return `<div class="given">${text(`${one.label}: ${one.text}`)}</div>`;
    case 'fill':
      return `<div>${written(form, one.text)}</div>`;
    case 'choose': {
      const choices = one.choices.map((choice) => ticked(form, choice)).join('');
      return `<div class="choose"><b>${text(`${one.label}:`)}</b>${choices}</div>`;
    }
  }
}

export function fields(form: HtmlForm, all: readonly ResultField[]): string {
  return `<div class="entry">\n${all.map((one) => field(form, one)).join('\n')}\n</div>\n`;
}

export function resultsSection(form: HtmlForm): string {
  const { results, sections, steps } = form.words;
  const rows = form.view.units.map(
    (unit) =>
      `<div class="row">\n<h3>${text(steps.rowMark(unit.row, null))}</h3>\n${fields(form, resultFields(unit, form.words))}</div>\n`,
  );
  return section('results', sections.results, paragraph(results.intro, 'strong') + rows.join(''));
}
