// The front of the sheet in a browser: its head with the QR code, the cautions before anything else, then units,
// where the procedure comes from, the time, what to bring, and how things stand.

import {
  bringItems,
  cautionGroups,
  orderText,
  rulesContent,
  sourceFields,
  timeSayings,
  unitLines,
} from '../content/front-content.ts';
import { drawQr, encodeSheetCode } from '../sheet-code.ts';
import {
  blank,
  type HtmlForm,
  list,
  paragraph,
  section,
  table,
  text,
  ticked,
  written,
} from './html-parts.ts';

function qr(form: HtmlForm): string {
  const { size, runs } = drawQr(encodeSheetCode(form.view));
  const path = runs.map(({ row, from, length }) => `M${from} ${row}h${length}v1h-${length}z`).join('');
  const spoken = text(form.words.spoken.code(form.view.number));
  return `<svg class="qr" role="img" aria-label="${spoken}" viewBox="0 0 ${size} ${size}" shape-rendering="crispEdges"><rect width="${size}" height="${size}" fill="#fff"/><path d="${path}"/></svg>`;
}

export function head(form: HtmlForm): string {
  const { view, words } = form;
  const says = words.head;
  const made = [says.made(view.made.day, view.made.time), view.made.by === null ? '' : says.by(view.made.by)];
  const units = view.byHand ? says.oneUnit : says.units(view.units.length);
  return `<header class="head">
<div>
<h1>${text(`${says.sheet} ${view.number}`)}</h1>
<p class="product">${text(`${view.product.name}, ${says.maker(view.product.maker)}`)}</p>
${paragraph(`${says.work(view.release.version)} (${view.release.id})`)}${paragraph(units)}${paragraph(made.filter(Boolean).join(' '), 'made')}</div>
${qr(form)}
</header>
`;
}

export function writeLine(form: HtmlForm, label: string): string {
  return `<div class="write"><span>${text(label)}</span>${blank(form)}</div>`;
}

export function cautions(form: HtmlForm): string {
  const { words } = form;
  const items = cautionGroups(form.view, words).flatMap(({ intro, items }) => [
    ...(intro === null ? [] : [`<li class="intro">${text(intro)}</li>`]),
    ...items.map(({ number, title, text: said }) => {
      const bold = title === '' ? said : title.toUpperCase();
      return `<li><span class="number">${number}.</span><b>${text(bold)}</b> ${title === '' ? '' : text(said)}</li>`;
    }),
  ]);
  return `<section id="cautions" class="framed" aria-labelledby="cautions-title">
<h2 id="cautions-title">${text(words.sections.cautions)}</h2>
${paragraph(words.cautions.readAloud)}<div class="entry">${writeLine(form, words.cautions.emergency)}${writeLine(form, words.cautions.secondPerson)}</div>
<ul class="cautions">
${items.join('\n')}
</ul>
</section>
`;
}

export function units(form: HtmlForm): string {
  const { units: says, sections } = form.words;
  const known = unitLines(form.view, form.words);
  if (known.length === 0) return '';
  const titles = [says.row, says.serial, says.revision, says.site, says.last];
  const rows = known.map(({ row, serial, revision, site, last }) => [
    text(String(row)),
    `<b>${text(serial)}</b>`,
    text(revision),
    text(site),
    last.map(text).join('<br>'),
  ]);
  const details = known
    .filter((unit) => unit.details !== '')
    .map((unit) => `<p><b>${text(`${says.row} ${unit.row}`)}</b> ${text(unit.details)}</p>\n`);
  const said = orderText(form.view, form.words);
  const order = said === null ? '' : paragraph(said, 'strong');
  return section('units', sections.units, `${table('units', titles, rows, true)}${details.join('')}${order}`);
}

function source({ view, words }: HtmlForm): string {
  const fields = sourceFields(view, words)
    .flat()
    .map(({ label, text: said, warning }) => {
      return `<div${warning ? ' class="warning"' : ''}><dt>${text(label)}</dt><dd>${text(said)}</dd></div>`;
    });
  return section('source', words.sections.source, `<dl class="fields">\n${fields.join('\n')}\n</dl>\n`);
}

function time(form: HtmlForm): string {
  const says = timeSayings(form.view, form.words).map(({ text: said, isHour }) => {
    return `<p${isHour ? ' class="hour"' : ''}>${written(form, said)}</p>\n`;
  });
  return section('time', form.words.sections.time, says.join(''));
}

function bring(form: HtmlForm): string {
  const items = bringItems(form.view, form.words).map((item) => ticked(form, item));
  return section('bring', form.words.sections.bring, list(items, 'ticks long'));
}

export function paperwork(form: HtmlForm): string {
  return `<div class="paperwork">\n${source(form)}${time(form)}${bring(form)}</div>\n`;
}

export function rules(form: HtmlForm): string {
  const { words } = form;
  const { starts, never, whileBusy } = rulesContent(form.view, words);
  const keep = (parts: string) => `<div class="keep">\n${parts}</div>\n`;
  const ticks = list(
    starts.map((item) => ticked(form, item)),
    'ticks',
  );
  const content = [
    starts.length === 0 ? '' : keep(paragraph(words.rules.starts) + ticks),
    never.length === 0 ? '' : keep(paragraph(words.rules.never, 'strong') + list(never.map(text), 'dashes')),
    whileBusy === null ? '' : paragraph(whileBusy, 'strong'),
  ].join('');
  return content === '' ? '' : section('rules', words.sections.rules, content);
}
