// The audit as a table for spreadsheets: every unit a row (RFC 4180, UTF-8). A cell that a spreadsheet would
// take for a formula gets an apostrophe before it, since what stands in it came from a table or a typist.

import { releaseKey } from '../manifest/catalogue.ts';
import { printable } from '../words/printable.ts';
import type { AuditRow } from './audit.ts';
import type { DayOf } from './why.ts';

type Cell = string | boolean | null;

const columns: readonly (readonly [string, (row: AuditRow, dayOf: DayOf) => Cell])[] = [
  ['serial', ({ unit }) => unit.serial],
  ['site', ({ unit }) => unit.site],
  ['product', ({ unit }) => unit.product],
  ['hardware', ({ unit }) => unit.hardware],
  ['version', ({ unit }) => unit.version?.version ?? null],
  ['evidence', ({ unit }) => unit.version?.evidence ?? null],
  ['status', ({ standing }) => standing.status],
  ['late', ({ standing }) => standing.late],
  ['onWithdrawn', ({ standing }) => standing.onWithdrawn],
  ['left', ({ unit }) => unit.left],
  ['target', ({ standing }) => (standing.target === null ? null : releaseKey(standing.target))],
  ['path', ({ standing }) => standing.path.map(({ version }) => version).join(' > ')],
  ['dueBy', ({ standing }) => standing.dueBy],
  ['lastOutcome', ({ unit }) => unit.lastOutcome?.kind ?? null],
  ['lastOutcomeOn', ({ unit }, dayOf) => (unit.lastOutcome === null ? null : dayOf(unit.lastOutcome.atMs))],
  ['why', ({ why }) => why],
];

export const auditCsvHeader = columns.map(([name]) => name).join(',');

export function renderAuditCsv(rows: readonly AuditRow[], dayOf: DayOf): string {
  const lines = rows.map((row) => columns.map(([, cell]) => csvCell(cell(row, dayOf))).join(','));
  const text = [auditCsvHeader, ...lines].map((line) => `${line}\r\n`).join('');
  // Without the mark a spreadsheet takes accents for something else; plain text needs none.
  return /^[\u0000-\u007f]*$/.test(text) ? text : `\ufeff${text}`;
}

/** One cell, quoted where it has to be, never a formula. */
export function csvCell(value: Cell): string {
  if (value === null) return '';
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  const plain = printable(value, 2000);
  const safe = /^\s*[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/.test(value) ? `'${plain}` : plain;
  return /[",\r\n;\t]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
