// Everything that can be checked of a record in SQLite: the file's own structure, every chain, and whether each
// unit's row is what its entries add up to. Chains and units are looked at inside one reading transaction; changes
// nothing.

import type Database from 'better-sqlite3';
import type { RecordRules } from '../../../ports/record-rules.ts';
import type { Mark, RecordCheck } from '../../../ports/record-store.ts';
import type { Finding } from '../../../words/finding.ts';
import { printable } from '../../../words/printable.ts';
import type { Statements } from './statements.ts';
import { isDamage, startStructureCheck } from './structure-check.ts';
import type { UnitTable } from './unit-table.ts';

/** Beyond these a person needs no more to know that the record is damaged. */
const maxFindings = 1000;

export interface CheckParts<Unit> {
  readonly rules: RecordRules<Unit>;
  readonly statements: Statements;
  readonly units: UnitTable<Unit>;
  readonly ends: readonly Mark[];
  readonly known: readonly Mark[];
}

/** `path`: of the file, which a second thread opens as well. */
export async function checkSqliteRecord<Unit>(
  database: Database.Database,
  path: string,
  partsNow: () => CheckParts<Unit>,
): Promise<RecordCheck> {
  // What others write meanwhile must not look like damage: one transaction, which ends before anything is waited for.
  const inOne = database.transaction(() => {
    const parts = partsNow();
    const entries = countOf(parts.statements, 'countEntries');
    const structure = startStructureCheck(database, { path, entries });
    const findings = atMost(contentFindings(parts));
    return {
      structure,
      findings,
      entries,
      units: countOf(parts.statements, 'countUnits'),
      marks: parts.ends,
    };
  });
  const { structure, findings, ...counts } = inOne.deferred();
  const faults = await structure();
  return { ...counts, findings: atMost([...faults.map(databaseDamaged), ...findings]) };
}

function atMost(found: Iterable<Finding>): Finding[] {
  const findings: Finding[] = [];
  for (const finding of found) {
    if (findings.length === maxFindings) return [...findings, more];
    findings.push(finding);
  }
  return findings;
}

const more: Finding = {
  code: 'more-findings',
  severity: 'note',
  summary: `There is more than these ${maxFindings} findings say.`,
  next: 'Call the service lead.',
};

function countOf(statements: Statements, name: 'countEntries' | 'countUnits'): number {
  try {
    return statements.count(name);
  } catch {
    // Damaged: the findings say so.
    return 0;
  }
}

function* contentFindings<Unit>(parts: CheckParts<Unit>): Generator<Finding> {
  yield* untilDamage(function* () {
    const rows = parts.statements.iterate('everyEntry');
    yield* parts.rules.checkChain(rows, { ends: parts.ends, known: parts.known });
  });
  yield* untilDamage(function* () {
    for (const serial of parts.units.differing()) {
      yield {
        code: 'unit-differs',
        severity: 'stop',
        summary: 'What is stored of a unit is not what its entries add up to.',
        where: printable(serial),
        next: 'Run slotproof record rebuild, then slotproof record check again.',
      };
    }
  });
}

/** Pages that cannot be read end this part of the check; what was found before still counts. */
function* untilDamage(part: () => Generator<Finding>): Generator<Finding> {
  try {
    yield* part();
  } catch (error) {
    if (!isDamage(error)) throw error;
    yield databaseDamaged((error as Error).message);
  }
}

function databaseDamaged(seen: string): Finding {
  return {
    code: 'database-damaged',
    severity: 'stop',
    summary: 'The file of the record is damaged.',
    seen: printable(seen),
    next: 'Run slotproof record salvage FILE: it changes nothing here, and writes all that can be saved to FILE.',
  };
}
