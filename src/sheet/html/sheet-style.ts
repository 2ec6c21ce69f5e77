// How a sheet looks in a browser and on its paper. Light on every screen, legible without colour; a window of sixty
// columns shows it in one column. On paper: A4 or Letter, whatever belongs together on one page, and a foot on
// every page where the browser can print one.

import type { HtmlOptions } from './html-parts.ts';
import { styleString } from './html-parts.ts';

/** The foot with the browser's own counters in place of the numbers. */
export interface FootParts {
  readonly beforePage: string;
  readonly betweenNumbers: string;
  readonly afterPages: string;
  readonly right: string;
}

export function pageRule({ paper }: HtmlOptions, foot: FootParts): string {
  const size = paper === undefined ? '' : `size: ${paper === 'a4' ? 'A4' : 'letter'} portrait; `;
  const left = [
    styleString(foot.beforePage),
    'counter(page)',
    styleString(foot.betweenNumbers),
    'counter(pages)',
    styleString(foot.afterPages),
  ].join(' ');
  return `@page { ${size}margin: 11mm 12mm 15mm;
  @bottom-left { content: ${left}; font: bold 8pt/1.2 "DejaVu Sans Condensed", system-ui, sans-serif; width: 42%; text-align: left; border-top: .6pt solid #000; }
  @bottom-right { content: ${styleString(foot.right)}; font: 7pt/1.2 "DejaVu Sans Condensed", system-ui, sans-serif; width: 58%; text-align: right; border-top: .6pt solid #000; }
}`;
}

export const sheetStyle = `:root { color-scheme: light; }
* { box-sizing: border-box; }
html { background: #fff; }
body { font: 1rem/1.4 "DejaVu Sans Condensed", system-ui, sans-serif; color: #000; background: #fff; max-width: 62rem; margin: 0 auto; padding: 1rem; overflow-wrap: anywhere; }
h1, h2, h3, p, ul, ol, dl, dd { margin: 0; padding: 0; }
h1 { font-size: 1.9em; line-height: 1.15; }
h2 { font-size: 1.05em; border-bottom: 2px solid #000; margin: 1.1em 0 .35em; break-after: avoid; }
h3 { font-size: 1em; break-after: avoid; }
ul, ol { list-style: none; }
a { color: inherit; }
a:focus-visible { outline: 3px solid #000; outline-offset: 2px; }
.heard { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
.box { display: inline-block; position: relative; width: .95em; height: .95em; border: 1.5px solid #000; vertical-align: -.12em; flex: none; }
.blank { display: inline-block; position: relative; min-width: 2.4em; height: 1.35em; border-bottom: 1px solid #000; vertical-align: bottom; }
.tick { display: inline-flex; gap: .45em; align-items: baseline; }
.ticks, .flow { display: flex; flex-wrap: wrap; gap: .25em 1.3em; }
.ticks.long { display: block; }
.ticks.long .tick { display: flex; }
.dashes > li { padding-left: 1em; text-indent: -1em; }
.dashes > li::before { content: "\\2013\\a0"; display: inline-block; width: 1em; text-indent: 0; }
.dashes > li > * { text-indent: 0; }
.strong, .ways b, .onward { font-weight: bold; }
.head { display: flex; gap: 1em; align-items: flex-start; justify-content: space-between; }
.head .product { font-weight: bold; font-size: 1.15em; }
.qr { flex: none; width: 6.2rem; height: 6.2rem; }
.framed { border: 3px solid #000; padding: .5em .7em; margin-top: .7em; }
.made { font-size: .88em; }
.keep { break-inside: avoid; }
.framed > h2:first-child { border: 0; margin: 0; font-size: 1.25em; }
.write { display: flex; gap: .4em; align-items: flex-end; flex: 1 1 16em; min-height: 1.9em; }
.write .blank { flex: 1; }
.cautions { columns: 2 24rem; column-gap: 1.5em; margin-top: .4em; }
.cautions li { break-inside: avoid; padding-left: 1.9em; text-indent: -1.9em; margin-bottom: .25em; }
.cautions li.intro { padding: 0; text-indent: 0; font-weight: bold; break-after: avoid; }
.cautions .number { display: inline-block; width: 1.9em; text-indent: 0; font-weight: bold; }
.paperwork { columns: 2 24rem; column-gap: 1.5em; }
.paperwork > section { break-inside: avoid; }
.paperwork > section:first-child h2 { margin-top: .6em; }
dl.fields > div { display: flex; gap: .6em; }
dl.fields dt { font-weight: bold; flex: 0 0 6.5em; }
dl.fields .warning dd, .hour { font-weight: bold; }
.hour { font-size: 1.1em; padding: .2em 0; }
table { border-collapse: collapse; width: 100%; margin: .25em 0; }
th, td { border: 1px solid #555; padding: .15em .4em; text-align: left; vertical-align: top; }
thead th { overflow-wrap: break-word; }
.units td:nth-child(2) { min-width: 8.5em; }
thead th { font-size: .85em; }
.watch td:last-child { font-weight: bold; width: 20%; }
.watch td:nth-child(2) { width: 26%; }
.steps > li { display: grid; grid-template-columns: 3.6em minmax(0, 2fr) minmax(0, 1fr); gap: 0 .8em; border-bottom: 1px solid #999; padding: .3em 0; break-inside: avoid; }
.steps > li:target { outline: 3px solid #000; }
.mark { display: flex; gap: .4em; align-items: center; align-self: start; font-weight: bold; font-size: 1.3em; line-height: 1.1; }
.mark .box { vertical-align: 0; }
.action { font-size: 1.08em; }
.do.alone, .wide { grid-column: 2 / -1; }
.wide { grid-row: 2; }
.then { grid-column: 3; grid-row: 1; }
.together, .run .item { display: inline-block; max-width: 100%; }
.run .say { display: block; }
.run .item, .run .tick { margin-right: .9em; }
.run .flow { display: inline-flex; margin-right: 1.3em; }
.rows { margin: .15em 0; }
.chart { columns: 2 24rem; column-gap: 1.5em; }
.chart > li { break-inside: avoid; margin-bottom: .7em; }
.light { display: grid; grid-template-columns: minmax(0, var(--name)) minmax(3em, 1fr) minmax(5em, 1.6fr); gap: 0 .5em; align-items: start; font-size: .9em; }
.light .name { font-weight: bold; }
.strip { width: 100%; height: 1.1em; display: block; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.shown { font-weight: bold; }
.columns { columns: 2 24rem; column-gap: 1.5em; }
.columns > li { break-inside: avoid; }
.ring { font-size: 1.25em; font-weight: bold; margin-top: .3em; }
.row { border: 1px solid #000; padding: .4em .6em; margin-top: .5em; break-inside: avoid; }
.entry { display: flex; flex-wrap: wrap; gap: .2em 1.2em; align-items: flex-end; }
.entry .choose { display: flex; flex-wrap: wrap; gap: .2em .9em; min-height: 1.9em; align-items: flex-end; }
.entry .given { flex: 1 1 12em; font-weight: bold; }
.foot { margin-top: 1.2em; border-top: 1px solid #000; font-size: .85em; }
.slip { font-size: 1.1em; }
.slip .donot { font-size: 1.2em; font-weight: bold; }
.slip .line { border-bottom: 1px solid #000; height: 2em; }
@media (max-width: 40rem) {
  body { padding: .5rem; }
  .steps > li { grid-template-columns: 3.4em minmax(0, 1fr); }
  .steps > li > * { grid-row: auto; }
  .then { grid-column: 2; }
  .do.alone { grid-column: 2; }
  .wide { grid-column: 1 / -1; }
  .light { grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); }
  .light .does { grid-column: 1 / -1; }
  .qr { width: 5rem; height: 5rem; }
}
@media print {
  body { font-size: 8pt; line-height: 1.24; max-width: none; margin: 0; padding: 0; orphans: 3; widows: 3; }
  h1 { font-size: 19pt; } h2 { font-size: 9.5pt; margin: 7pt 0 2pt; border-bottom-width: 1.2pt; }
  .qr { width: 22mm; height: 22mm; }
  .framed { border-width: 1.6pt; break-inside: auto; box-decoration-break: clone; -webkit-box-decoration-break: clone; }
  .cautions, .paperwork, .chart, .columns { columns: 2; }
  .paperwork { font-size: 7pt; }
  .light { font-size: 7pt; }
  .run .say { display: inline; }
  .action, .watch td:last-child, .onward { font-size: 9pt; }
  .steps > li { grid-template-columns: 36pt minmax(0, 2fr) minmax(0, 1fr); padding: 1.5pt 0 2pt; gap: 0 8pt; }
  .mark { font-size: 12pt; }
  .write, .entry .choose { min-height: 18pt; }
  .steps .blank { height: 15pt; }
  tr, .row, .results .row { break-inside: avoid; }
  thead { display: table-header-group; }
  .failure { break-inside: avoid; }
  .foot { display: none; }
  a { text-decoration: none; }
  .slip { font-size: 10pt; }
  .site + .site { break-before: page; }
}
@supports not (counter-increment: page) { @media print { .foot { display: block; } } }
`;
