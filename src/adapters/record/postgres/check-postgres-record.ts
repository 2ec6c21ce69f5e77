// Everything that can be checked of the record on a server: every chain, whether each unit's row is what its entries add
// up to, and whether the server's own guards stand: the triggers, the policies, and who may do what. Runs inside one
// reading transaction; changes nothing.

import type { RecordRules } from '../../../ports/record-rules.ts';
import type { Looked, Mark, RecordCheck } from '../../../ports/record-store.ts';
import type { Finding } from '../../../words/finding.ts';
import { printable } from '../../../words/printable.ts';
import { checkRights } from './check-rights.ts';
import type { Queries } from './connection.ts';
import { chainPages } from './entry-pages.ts';
import type { UnitTable } from './unit-table.ts';

/** Beyond these a person needs no more to know that the record is damaged. */
const maxFindings = 1000;

export interface CheckParts<Unit> {
  readonly rules: RecordRules<Unit>;
  readonly units: UnitTable<Unit>;
  readonly known: readonly Mark[];
  readonly looked: Looked | undefined;
}

export async function checkPostgresRecord<Unit>(
  queries: Queries,
  parts: CheckParts<Unit>,
): Promise<RecordCheck> {
  const ends = await queries.all('marks');
  const findings: Finding[] = [];
  for await (const finding of allFindings(queries, parts, ends)) {
    if (findings.length === maxFindings) {
      findings.push({
        code: 'more-findings',
        severity: 'note',
        summary: `There is more than these ${maxFindings} findings say.`,
        next: 'Call the service lead.',
      });
      break;
    }
    findings.push(finding);
  }
  const entries = Number((await queries.get('countEntries'))?.count);
  const units = await parts.units.count(queries);
  return { entries, units, marks: ends, findings };
}

async function* allFindings<Unit>(
  queries: Queries,
  { rules, units, known, looked }: CheckParts<Unit>,
  ends: readonly Mark[],
): AsyncGenerator<Finding> {
  yield* await checkRights(queries);
  const check = rules.chainCheck({ ends, known });
  const total = ends.reduce((sum, { seq }) => sum + Number(seq), 0);
  let count = 0;
  for (const { laptop } of await queries.all('laptops')) {
    for await (const page of chainPages(queries, laptop)) {
      for (const row of page) yield* check.look(row);
      count += page.length;
      looked?.(count, total);
    }
  }
  yield* check.end();
  for await (const serial of units.differing(queries)) {
    yield {
      code: 'unit-differs',
      severity: 'stop',
      summary: 'What is stored of a unit is not what its entries add up to.',
      where: printable(serial),
      next: 'Let the office run slotproof record rebuild --record URL, then slotproof record check again.',
    };
  }
}
