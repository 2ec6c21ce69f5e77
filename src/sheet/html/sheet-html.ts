// The sheet as one page for a browser, to read on a screen and to print: self-contained, without scripts, nothing
// fetched, drawn from the same lines as every other form of it.

import { formatMark } from '../../record/mark-text.ts';
import { languages } from '../language.ts';
import type { SheetView } from '../sheet-view.ts';
import { failureSection, resultsSection } from './html-back.ts';
import { cautions, head, paperwork, rules, units } from './html-front.ts';
import { lightsSection } from './html-lights.ts';
import { type HtmlForm, type HtmlOptions, text } from './html-parts.ts';
import { stepSections } from './html-steps.ts';
import { type FootParts, pageRule, sheetStyle } from './sheet-style.ts';

/** Numbers that the words of a foot are asked with, to find where the browser's own belong. */
const pageSign = 1_000_001;
const pagesSign = 1_000_002;

export type Foot = (number: string, page: number, pages: number) => string;

function footParts({ view, words }: HtmlForm, foot: Foot): FootParts {
  const said = foot(view.number, pageSign, pagesSign);
  const [beforePage = said, rest = ''] = said.split(String(pageSign));
  const [betweenNumbers = '', afterPages = ''] = rest.split(String(pagesSign));
  return { beforePage, betweenNumbers, afterPages, right: markLine({ view, words }) };
}

/** The version stands on no foot. */
function markLine({ view, words }: HtmlForm): string {
  const record = view.mark === null ? words.source.noRecord : formatMark(view.mark);
  return `${view.product.name}. ${words.source.record}: ${record}`;
}

export interface HtmlPage {
  readonly title: string;
  readonly foot: Foot;
  readonly className: string;
  readonly content: string;
}

export function htmlPage(form: HtmlForm, options: HtmlOptions, page: HtmlPage): string {
  return `<!doctype html>
<html lang="${text(form.words.code)}">
<head>
<meta charset="utf-8">
<title>${text(page.title)}</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<style>
${sheetStyle}${pageRule(options, footParts(form, page.foot))}
</style>
</head>
<body class="${page.className}">
${page.content}<footer class="foot">${text(`${page.title}. ${markLine(form)}`)}</footer>
</body>
</html>
`;
}

export function renderSheetHtml(view: SheetView, options: HtmlOptions): string {
  const form: HtmlForm = { view, words: languages[view.language] };
  const { head: says } = form.words;
  return htmlPage(form, options, {
    title: `${says.sheet} ${view.number}`,
    foot: says.foot,
    className: 'sheet',
    content: `${head(form)}<main>
${cautions(form)}${units(form)}${paperwork(form)}${rules(form)}${stepSections(form)}${lightsSection(form)}${failureSection(form)}${resultsSection(form)}</main>
`,
  });
}
