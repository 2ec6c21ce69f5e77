// The audit as one page to print or send: self-contained, without scripts, pictures or anything fetched. Every
// status stands in words, so it reads the same in black and white; what is urgent is bold and has a bar beside it.

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
body { font: 11pt/1.4 system-ui, sans-serif; color: #111; background: #fff; margin: 1.5rem auto; max-width: 70rem; padding: 0 1rem; }
h1 { font-size: 1.4em; } h2 { font-size: 1.15em; margin: 1.4em 0 .4em; }
table { border-collapse: collapse; width: 100%; } caption { text-align: left; }
th, td { border: 1px solid #777; padding: .25em .45em; text-align: left; vertical-align: top; overflow-wrap: anywhere; }
th { background: #eee; } tr.urgent td:first-child { border-left: .4em solid #111; } tr.urgent .status { font-weight: bold; }
.halt { border: .2em solid #111; padding: .5em; font-weight: bold; }
@media print {
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

function unitTable(audit: Audit): string {
  if (audit.rows.length === 0) return '';
  const head = ['Serial', 'Site', 'Product', 'Rev', 'Version', 'Status', 'Left', 'Install', 'Due by', 'Why'];
  const body = audit.rows.map(unitRow).join('\n');
  return `<h2>Every unit</h2>
<table>
<thead><tr>${head.map((name) => `<th scope="col">${name}</th>`).join('')}</tr></thead>
<tbody>
${body}
</tbody>
</table>
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
  ].map((text, at) => `<td${at === 5 ? ' class="status"' : ''}>${htmlText(text)}</td>`);
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
