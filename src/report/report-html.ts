// A report as one page for a browser: every text escaped, nothing fetched, no scripts; tables scroll by themselves on a
// narrow screen and stand whole on paper.

import { htmlText } from '../words/html-text.ts';
import type { Report, ReportBlock } from './report.ts';

const longest = 8000;
const text = (plain: string) => htmlText(plain, longest);

const style = `:root { color-scheme: light; }
* { box-sizing: border-box; }
body { font: 1rem/1.45 "DejaVu Sans Condensed", system-ui, sans-serif; color: #000; background: #fff; max-width: 62rem; margin: 0 auto; padding: 1rem; overflow-wrap: anywhere; }
h1 { font-size: 1.7em; margin: 0 0 .4em; }
h2 { font-size: 1.1em; border-bottom: 2px solid #000; margin: 1.6em 0 .5em; break-after: avoid; }
dl { display: grid; grid-template-columns: minmax(8rem, 12rem) 1fr; gap: .15em 1em; margin: .5em 0; }
dt { font-weight: bold; }
dd { margin: 0; }
p { margin: .5em 0; }
.wide { overflow-x: auto; margin: .6em 0; }
table { border-collapse: collapse; width: 100%; font-size: .88em; }
th, td { border: 1px solid #555; padding: .2em .4em; text-align: left; vertical-align: top; overflow-wrap: break-word; }
tr { break-inside: avoid; }
footer { margin-top: 2em; border-top: 1px solid #000; padding-top: .4em; font-size: .85em; }
@media (max-width: 40rem) { dl { grid-template-columns: 1fr; } dt { margin-top: .4em; } }
@media print { body { max-width: none; padding: 0; font-size: 9pt; } .wide { overflow: visible; } th, td { overflow-wrap: anywhere; } }
@page { size: A4; margin: 14mm 12mm 16mm; }`;

function blockHtml(block: ReportBlock): string {
  switch (block.kind) {
    case 'paragraph':
      return `<p>${text(block.text)}</p>`;
    case 'fields':
      return `<dl>${block.fields.map(({ label, text: value }) => `<dt>${text(label)}</dt><dd>${text(value)}</dd>`).join('\n')}</dl>`;
    case 'table': {
      const { columns, rows } = block.table;
      const head = columns.map((column) => `<th scope="col">${text(column)}</th>`).join('');
      const body = rows
        .map((row) => `<tr>${row.map((cell) => `<td>${text(cell)}</td>`).join('')}</tr>`)
        .join('\n');
      return `<div class="wide" role="region" tabindex="0" aria-label="${text(columns.join(', '))}"><table><thead><tr>${head}</tr></thead><tbody>\n${body}\n</tbody></table></div>`;
    }
  }
}

export function renderReportHtml({ title, sections, foot }: Report): string {
  const parts = sections.map(
    (section, at) =>
      `<section aria-labelledby="section-${at}"><h2 id="section-${at}">${text(section.title)}</h2>\n${section.blocks.map(blockHtml).join('\n')}</section>`,
  );
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>${text(title)}</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<style>
${style}
</style>
</head>
<body>
<main>
<h1>${text(title)}</h1>
${parts.join('\n')}
</main>
<footer>${text(foot)}</footer>
</body>
</html>
`;
}
