// The slip for the customer as one page for a browser: large letters, to be printed and left on site.

import { type SlipContent, type SlipUnit, slipContents } from '../content/slip-content.ts';
import { languages } from '../language.ts';
import type { SheetView } from '../sheet-view.ts';
import { fields } from './html-back.ts';
import { type HtmlForm, type HtmlOptions, list, paragraph, section, text, ticked } from './html-parts.ts';
import { htmlPage } from './sheet-html.ts';

function unit(form: HtmlForm, one: SlipUnit): string {
  const { slip } = form.words;
  const stands = one.stands.length === 0 ? '' : paragraph(slip.stands) + fields(form, one.stands);
  const [doNot = '', until = ''] = one.doNot;
  return `<div class="row framed">
${one.title === '' ? '' : `<h2>${text(one.title)}</h2>\n`}${fields(form, one.fields)}${stands}<p class="donot">${text(doNot)}</p>
<div class="line"></div><div class="line"></div>
${paragraph(until)}<div class="line"></div>
</div>
`;
}

function slip(form: HtmlForm, says: SlipContent, at: number): string {
  const { slip } = form.words;
  const never =
    says.never === null
      ? ''
      : paragraph(says.never.intro, 'strong') + list(says.never.items.map(text), 'dashes');
  const rules = `${paragraph(says.leave, 'strong')}${list(says.rules.map(text), 'dashes')}${never}${
    says.writing === null ? '' : `<p>${ticked(form, says.writing)}</p>\n`
  }`;
  const ring = `${paragraph(says.ring.when, 'strong')}${fields(form, says.ring.numbers)}${fields(form, says.signed)}`;
  return `<article class="site">
<header>
<h1>${text(says.title)}</h1>
${paragraph(says.head)}${paragraph(says.equipment, 'strong')}${fields(form, says.visit)}${paragraph(says.intro)}</header>
${says.units.map((one) => unit(form, one)).join('')}${section(`rules-${at}`, slip.rules, rules)}${section(`ring-${at}`, slip.ring, ring)}</article>
`;
}

export function renderSlipHtml(view: SheetView, options: HtmlOptions): string {
  const form: HtmlForm = { view, words: languages[view.language] };
  const { slip: says } = form.words;
  const slips = slipContents(view, form.words).map((one, at) => slip(form, one, at + 1));
  return htmlPage(form, options, {
    title: says.head(view.number),
    foot: says.foot,
    className: 'slip',
    content: `<main>\n${slips.join('')}</main>\n`,
  });
}
