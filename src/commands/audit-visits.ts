// `audit --visits FILE`: reads the list and asks what became of it. The whole fleet counts here, whatever else
// the audit is narrowed to: a line that is left out in silence would look like a visit that went well.

import { type AuditQuestion, auditFleet } from '../fleet/audit.ts';
import type { RowFault } from '../fleet/csv-table.ts';
import { type VisitResults, visitResultsOf } from '../fleet/visit-results.ts';
import { knownCards } from '../record/known-cards.ts';
import { visitsJson } from './audit-json.ts';
import type { AuditRecord } from './audit-record.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { requireVisits } from './visit-table.ts';

export interface AuditedVisits {
  readonly results: VisitResults;
  readonly refused: readonly RowFault[];
  readonly json: Record<string, unknown>;
}

export async function auditVisits(
  context: Context,
  options: OptionValues,
  question: AuditQuestion,
  record: AuditRecord,
): Promise<AuditedVisits | undefined> {
  if (typeof options.visits !== 'string') return undefined;
  const { clock } = context;
  const inService = record.units.filter(({ retired }) => !retired);
  const { visits, refused } = await requireVisits(
    context,
    options.visits,
    inService,
    question.catalogue.products.values(),
    options.encoding,
  );
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
