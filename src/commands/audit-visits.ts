// `audit --visits FILE`: reads the list and asks what became of it. The whole fleet counts here, whatever else
// the audit is narrowed to: a line that is left out in silence would look like a visit that went well.

import { type AuditQuestion, auditFleet } from '../fleet/audit.ts';
import type { RowFault } from '../fleet/csv-table.ts';
import { maxTableBytes, readCsvTable } from '../fleet/csv-table.ts';
import { readVisits, visitFields } from '../fleet/visit-list.ts';
import { type VisitResults, visitResultsOf } from '../fleet/visit-results.ts';
import { knownCards } from '../record/known-cards.ts';
import { Failure } from '../words/failure.ts';
import { visitsJson } from './audit-json.ts';
import type { AuditRecord } from './audit-record.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';

export interface AuditedVisits {
  readonly results: VisitResults;
  readonly refused: readonly RowFault[];
  readonly json: Record<string, unknown>;
}

export async function auditVisits(
  { files, clock }: Context,
  option: OptionValues[string],
  question: AuditQuestion,
  record: AuditRecord,
): Promise<AuditedVisits | undefined> {
  if (typeof option !== 'string') return undefined;
  const path = files.absolute(option);
  const table = readCsvTable(files.readBytes(path, maxTableBytes), {
    path,
    required: [],
    optional: visitFields,
  });
  if (!table.present.includes('site') && !table.present.includes('serial')) {
    throw new Failure({
      code: 'column-missing',
      exit: 2,
      summary: 'The list of visits names neither sites nor serials.',
      where: path,
      expected: `a header with site or serial, and date and minutes where you like`,
      next: 'Put the header site,date (or serial,date) above the list.',
    });
  }
  const inService = record.units.filter(({ retired }) => !retired);
  const { visits, refused } = readVisits(table, inService, question.catalogue.products.values());
  const { rows } = auditFleet({ ...question, product: undefined, site: undefined });
  const results = visitResultsOf({
    visits,
    rows: new Map(rows.map((row) => [row.unit.serial, row])),
    day: record.day,
    startOfDay: clock.startOfLocalDay,
    cards: knownCards([
      ...(await record.entries('card-prepared')),
      ...(await record.entries('card-checked')),
      ...(await record.entries('card-retired')),
      ...record.outcomes,
    ]),
  });
  return { results, refused, json: visitsJson(results, clock) };
}
