// The audit for a terminal: what became of the visits, the units that need something, how the releases fare,
// what needs doing, and the counts last, nearest to the prompt. Sixty columns are enough; wider ones give a
// table. A unit that needs nothing is only counted here: the table of --csv and --json have every one.

import { counted } from '../words/counted.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';
import type { Audit, AuditRow } from './audit.ts';
import {
  askedOf,
  cardWords,
  countWords,
  forecastWords,
  isLeftOff,
  leastUrgentFirst,
  needsSomething,
  pathWords,
  releaseWords,
  statusWords,
  unreadWords,
  versionWords,
  visitedWords,
  visitTitles,
} from './audit-words.ts';
import { type VisitResults, visitResults } from './visit-results.ts';
import { type DayOf, leftInWords } from './why.ts';

export interface AuditTextFacts {
  readonly columns: number;
  /** When news of manifests last came, for people; null where there are none. */
  readonly knownAsOf: string | null;
  /** What was asked about, where not everything was: `rill-40`, `Alder Farm`. */
  readonly scope: readonly string[];
  readonly visits: VisitResults | null;
  readonly dayOf: DayOf;
}

const wideColumns = 92;
/** More would push what matters off the screen. */
const maxRows = 120;

export function renderAuditText(audit: Audit, facts: AuditTextFacts): string {
  const columns = Math.max(40, Math.min(facts.columns, 120));
  const scope =
    facts.scope.length === 0 ? '' : ` (${facts.scope.map((part) => printable(part, 60)).join(', ')})`;
  const known = facts.knownAsOf ?? 'there are none';
  const parts = [
    wrap(`Audit as of the end of ${audit.day}${scope}. Manifests: ${known}.`, columns),
    ...(facts.visits === null ? [] : [visitsPart(facts.visits, columns, facts.dayOf)]),
    unitsPart(audit, columns),
    releasesPart(audit, columns),
    todoPart(audit, columns),
    [forecastWords(audit), countWords(audit)].map((line) => wrap(line, columns)).join('\n'),
  ];
  return parts.filter((part) => part !== '').join('\n\n');
}

/** Nothing is registered, or nothing of what was asked about: said, and not shown as all being well. */
export function renderNoUnits(facts: Pick<AuditTextFacts, 'scope' | 'columns'>): string {
  const of =
    facts.scope.length === 0
      ? ''
      : ` that fits (${facts.scope.map((part) => printable(part, 60)).join(', ')})`;
  return wrap(
    `No unit is registered${of}, so there is nothing to audit. Take units in with slotproof units import FILE.csv, or add one with slotproof units add SERIAL.`,
    Math.min(facts.columns, 100),
  );
}

function visitsPart(results: VisitResults, columns: number, dayOf: DayOf): string {
  const lines = ['What became of the visits'];
  for (const result of visitResults) {
    const visited = results[result];
    lines.push(`  ${visitTitles[result]}: ${visited.length}`);
    // What was done is only counted; the rest is work for somebody.
    if (result !== 'done')
      lines.push(...visited.map((one) => wrap(visitedWords(one), columns, '      ', '    ')));
  }
  lines.push(`  Cards not back: ${results.cardsNotBack.length}`);
  lines.push(...results.cardsNotBack.map((card) => wrap(cardWords(card, dayOf), columns, '      ', '    ')));
  return lines.join('\n');
}

/** Least urgent first, so that a long list ends with what matters most. */
function unitsPart(audit: Audit, columns: number): string {
  const urgency = (row: AuditRow) =>
    isLeftOff(row.unit.left) ? 100 : leastUrgentFirst.indexOf(row.standing.status);
  const rows = audit.rows.filter(needsSomething).sort((a, b) => urgency(a) - urgency(b));
  if (rows.length === 0) return '';
  const shown = rows.slice(-maxRows);
  const left = rows.length - shown.length;
  const more =
    left === 0
      ? []
      : [wrap(`(${counted(left, 'less urgent unit')} not shown; --csv FILE writes all)`, columns)];
  const body =
    columns >= wideColumns ? wideRows(shown, columns) : shown.map((row) => narrowRow(row, columns));
  return ['Units that need something', ...more, ...body].join('\n');
}

/** Where the columns alone do not say what is the matter. */
function saysWhy({ unit, standing }: AuditRow): boolean {
  const { status, onWithdrawn } = standing;
  return isLeftOff(unit.left) || onWithdrawn || ['failed', 'no-path', 'to-confirm'].includes(status);
}

function wideRows(rows: readonly AuditRow[], columns: number): string[] {
  const head = ['SERIAL', 'SITE', 'REV', 'VERSION', 'STATUS', 'INSTALL', 'BY'];
  const cells = rows.map((row) => [
    printable(row.unit.serial, 24),
    printable(row.unit.site ?? '', 24),
    printable(row.unit.hardware ?? '?', 6),
    versionWords(row),
    statusWords(row),
    pathWords(row),
    row.standing.dueBy ?? '',
  ]);
  const widths = head.map((name, at) =>
    Math.max(...[head, ...cells].map((line) => [...(line[at] ?? '')].length), name.length),
  );
  const total = widths.reduce((sum, width) => sum + width + 2, 0);
  // A long path or many stepping stones would run over the edge: then the narrow form reads better.
  if (total > columns) return rows.map((row) => narrowRow(row, columns));
  const line = (texts: readonly string[]) =>
    `  ${texts.map((text, at) => text + ' '.repeat(Math.max(0, widths[at]! - [...text].length))).join('  ')}`.trimEnd();
  return [
    line(head),
    ...rows.flatMap((row, at) => [line(cells[at]!), ...(saysWhy(row) ? [whyLine(row, columns)] : [])]),
  ];
}

function narrowRow(row: AuditRow, columns: number): string {
  const { unit, standing } = row;
  const site = unit.site === null ? '' : `, ${printable(unit.site, 60)}`;
  const head = wrap(`${printable(unit.serial, 80)}${site}: ${statusWords(row)}`, columns, '    ', '  ');
  if (saysWhy(row)) return `${head}\n${whyLine(row, columns)}`;
  const path = pathWords(row);
  const by = standing.dueBy === null ? '' : `, by ${standing.dueBy}`;
  const work =
    path === '' ? `has ${versionWords(row)}${by}` : `has ${versionWords(row)}, install ${path}${by}`;
  return `${head}\n${wrap(work, columns, '      ', '      ')}`;
}

function whyLine(row: AuditRow, columns: number): string {
  const left = isLeftOff(row.unit.left) && row.standing.status !== 'failed';
  const prefix = left ? `Left ${leftInWords(row.unit.left ?? '')}. ` : '';
  return wrap(`${prefix}${printable(row.why, 800)}`, columns, '      ', '      ');
}

function releasesPart(audit: Audit, columns: number): string {
  if (audit.releases.length === 0) return '';
  const lines = audit.releases.flatMap((release) => {
    const [first = '', ...split] = releaseWords(release);
    return [
      wrap(first, columns, '      ', '  '),
      ...split.map((line) => wrap(line, columns, '      ', '      ')),
    ];
  });
  return ['Releases', ...lines].join('\n');
}

function todoPart(audit: Audit, columns: number): string {
  const item = (text: string) => wrap(text, columns, '    ', '  - ');
  const lines: string[] = [];
  for (const status of leastUrgentFirst) {
    const count = audit.counts[status];
    if (count > 0 && status !== 'current' && status !== 'exempt')
      lines.push(item(`${count} ${status}: ${askedOf[status]}.`));
  }
  const off = audit.rows.filter(({ unit }) => isLeftOff(unit.left));
  if (off.length > 0) {
    const names = off.slice(0, 8).map(({ unit }) => printable(unit.serial, 80));
    lines.push(
      item(
        `${counted(off.length, 'unit')} not left running: ${names.join(', ')}${off.length > 8 ? ', ...' : ''}.`,
      ),
    );
  }
  const unread = unreadWords(audit);
  if (unread !== undefined) lines.push(item(`${unread}.`));
  for (const { release, rule, tried, failed } of audit.releases)
    if (rule === 'halt')
      lines.push(
        item(
          `HALT ${printable(release, 80)}: ${failed} of ${tried} failed. Carry it nowhere; ask the maker.`,
        ),
      );
  return lines.length === 0 ? 'Nothing needs doing.' : ['What needs doing', ...lines].join('\n');
}
