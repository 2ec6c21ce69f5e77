// The audit as one page to print or send: self-contained, without scripts, pictures or anything fetched. Every
// status stands in words, so it reads the same in black and white; what is urgent is bold and has a bar beside it. On a
// screen too narrow for ten columns each unit is a block of its own.

import { htmlText } from '../words/html-text.ts';
import type { Audit, AuditRow } from './audit.ts';
import type { AuditTextFacts } from './audit-text.ts';
import {
  askedOf,
  cardWords,
  countWords,
  forecastWords,
  isLeftOff,
  leastUrgentFirst,
  pathWords,
  releaseWords,
  statusWords,
  unreadWords,
  versionWords,
  visitedWords,
  visitTitles,
} from './audit-words.ts';
import { type VisitResults, visitResults } from './visit-results.ts';
import type { DayOf } from './why.ts';

/** How a page of ours begins: only such a file is replaced by the next audit. */
export const auditHtmlStart =
  '<!doctype html>\n<html lang="en">\n<meta charset="utf-8">\n<title>Audit as of ';

const style = `
body { font: 11pt/1.4 system-ui, sans-serif; color: #111; background: #fff; margin: 1.5rem auto; max-width: 70rem; padding: 0 1rem; overflow-wrap: break-word; }
h1 { font-size: 1.4em; } h2 { font-size: 1.15em; margin: 1.4em 0 .4em; }
table { border-collapse: collapse; width: 100%; } caption { text-align: left; }
th, td { border: 1px solid #777; padding: .25em .45em; text-align: left; vertical-align: top; overflow-wrap: break-word; }
.wide { overflow-x: auto; } td.long { overflow-wrap: anywhere; min-width: 8em; } .date { white-space: nowrap; }
th { background: #eee; } tr.urgent td:first-child { border-left: .4em solid #111; } tr.urgent .status { font-weight: bold; }
.halt { border: .2em solid #111; padding: .5em; font-weight: bold; }
@media screen and (max-width: 60rem) {
  table, tbody, tr { display: block; } thead, td:empty { display: none; }
  tr { border: 1px solid #777; margin: 0 0 .6em; padding: .3em .6em; }
  td, tr.urgent td:first-child { display: grid; grid-template-columns: 4.5em minmax(0, 1fr); gap: 0 .8em; border: 0; padding: .05em 0; }
  td { overflow-wrap: anywhere; } td::before { content: attr(data-name); color: #444; font-weight: normal; }
  tr.urgent { border-left: .4em solid #111; }
}
@media print {
  .wide { overflow: visible; } table { font-size: 8pt; } th, td { padding: .2em .3em; }
  @page { margin: 15mm; }
  body { font-size: 9pt; margin: 0; max-width: none; padding: 0; } thead { display: table-header-group; }
  tr, li { break-inside: avoid; } h2 { break-after: avoid; } th { background: none; }
}`;

export function renderAuditHtml(audit: Audit, facts: Omit<AuditTextFacts, 'columns'>): string {
  const scope =
    facts.scope.length === 0 ? '' : ` (${facts.scope.map((part) => htmlText(part, 60)).join(', ')})`;
  return `${auditHtmlStart}${audit.day}</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<style>${style}
</style>
<h1>Audit as of the end of ${audit.day}${scope}</h1>
<p>${paragraph(audit)}</p>
<p>Manifests: ${htmlText(facts.knownAsOf ?? 'there are none')}.</p>
${halts(audit)}${todo(audit)}${facts.visits === null ? '' : visits(facts.visits, facts.dayOf)}${unitTable(audit)}${releases(audit)}
</html>
`;
}

function paragraph(audit: Audit): string {
  if (audit.rows.length === 0) return 'No unit is registered, so there is nothing to audit.';
  return `<strong>${htmlText(countWords(audit))}</strong> ${htmlText(forecastWords(audit))}`;
}

function halts(audit: Audit): string {
  return audit.releases
    .filter(({ rule }) => rule === 'halt')
    .map(({ release, tried, failed }) => {
      const name = htmlText(release, 80);
      return `<p class="halt">HALT ${name}: ${failed} of ${tried} failed. Carry it nowhere; ask the maker.</p>\n`;
    })
    .join('');
}

function todo(audit: Audit): string {
  const items = [...leastUrgentFirst]
    .reverse()
    .filter((status) => audit.counts[status] > 0 && status !== 'current' && status !== 'exempt')
    .map(
      (status) =>
        `<li><strong>${audit.counts[status]} ${status}</strong>: ${htmlText(askedOf[status])}.</li>`,
    );
  const off = audit.rows
    .filter(({ unit }) => isLeftOff(unit.left))
    .map(({ unit }) => htmlText(unit.serial, 80));
  if (off.length > 0) items.unshift(`<li><strong>Not left running</strong>: ${off.join(', ')}.</li>`);
  const unread = unreadWords(audit);
  if (unread !== undefined) items.unshift(`<li><strong>${htmlText(unread)}</strong>.</li>`);
  return items.length === 0 ? '' : `<h2>What needs doing</h2>\n${list(items)}`;
}

function visits(results: VisitResults, dayOf: DayOf): string {
  const parts = visitResults.map((result) => {
    const items = results[result].map((one) => `<li>${htmlText(visitedWords(one))}</li>`);
    return `<h3>${visitTitles[result]}: ${items.length}</h3>\n${list(items)}`;
  });
  const cards = results.cardsNotBack.map((card) => `<li>${htmlText(cardWords(card, dayOf))}</li>`);
  return `<h2>What became of the visits</h2>\n${parts.join('')}<h3>Cards not back: ${cards.length}</h3>\n${list(cards)}`;
}

const columns = ['Serial', 'Site', 'Product', 'Rev', 'Version', 'Status', 'Left', 'Install', 'Due by', 'Why'];
const kinds: Readonly<Record<string, string>> = { Status: 'status', 'Due by': 'date' };

/** A word longer than any that we know of may break: a column must not push the others off the page. */
const longWord = /\S{21}/;

function unitTable(audit: Audit): string {
  if (audit.rows.length === 0) return '';
  const body = audit.rows.map(unitRow).join('\n');
  return `<h2>Every unit</h2>
<div class="wide"><table>
<thead><tr>${columns.map((name) => `<th scope="col">${name}</th>`).join('')}</tr></thead>
<tbody>
${body}
</tbody>
</table></div>
`;
}

function unitRow(row: AuditRow): string {
  const { unit, standing, why } = row;
  const isUrgent = isLeftOff(unit.left) || ['failed', 'overdue', 'no-path'].includes(standing.status);
  const cells = [
    unit.serial,
    unit.site ?? '',
    unit.product,
    unit.hardware ?? 'not known',
    versionWords(row),
    statusWords(row),
    unit.left ?? '',
    pathWords(row),
    standing.dueBy ?? '',
    why,
  ].map((text, at) => {
    const name = columns[at] ?? '';
    const kind = [kinds[name], longWord.test(text) ? 'long' : undefined].filter(Boolean).join(' ');
    return `<td${kind === '' ? '' : ` class="${kind}"`} data-name="${name}">${htmlText(text)}</td>`;
  });
  return `<tr${isUrgent ? ' class="urgent"' : ''}>${cells.join('')}</tr>`;
}

function releases(audit: Audit): string {
  if (audit.releases.length === 0) return '';
  const items = audit.releases.map((release) => {
    const [first = '', ...split] = releaseWords(release).map((line) => htmlText(line));
    return `<li>${[first, ...split].join('<br>')}</li>`;
  });
  return `<h2>Releases</h2>\n${list(items)}`;
}

function list(items: readonly string[]): string {
  return items.length === 0 ? '' : `<ul>\n${items.join('\n')}\n</ul>\n`;
}
