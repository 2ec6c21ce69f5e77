// Everything that can be checked of a record in SQLite: the file's own structure, every chain, and whether each
// unit's row is what its entries add up to. Of a long record on three threads, each over a connection of its own: the
// three ask nothing of one another. Changes nothing.

import type Database from 'better-sqlite3';
import type { RecordRules } from '../../../ports/record-rules.ts';
import type { Looked, Mark, RecordCheck } from '../../../ports/record-store.ts';
import { atMost, databaseDamaged, untilDamage } from './check-findings.ts';
import { checkUnits, startUnitsCheck } from './check-units.ts';
import type { Statements } from './statements.ts';
import { startStructureCheck } from './structure-check.ts';
import type { UnitTable } from './unit-table.ts';

export interface CheckParts<Unit> {
  readonly rules: RecordRules<Unit>;
  readonly statements: Statements;
  readonly units: UnitTable<Unit>;
  readonly ends: readonly Mark[];
  readonly known: readonly Mark[];
  readonly looked: Looked | undefined;
}

export interface CheckPlace {
  /** Of the file, which the other threads open as well. */
  readonly path: string;
  /** What a thread runs that checks the units. */
  readonly unitsThread: string | undefined;
}

export async function checkSqliteRecord<Unit>(
  database: Database.Database,
  { path, unitsThread }: CheckPlace,
  partsNow: () => CheckParts<Unit>,
): Promise<RecordCheck> {
  // What others write meanwhile must not look like damage: one transaction, which ends before anything is waited for.
  const inOne = database.transaction(() => {
    const parts = partsNow();
    const entries = countOf(parts.statements, 'countEntries');
    const structure = startStructureCheck(database, { path, entries });
    const elsewhere = startUnitsCheck({ path, entries, script: unitsThread });
    const chains = atMost(untilDamage(() => checkChains(parts, entries)));
    const here = elsewhere === undefined ? checkUnits(parts.units) : undefined;
    const units = countOf(parts.statements, 'countUnits');
    return { structure, elsewhere, chains, here, counts: { entries, units, marks: parts.ends } };
  });
  const { structure, elsewhere, chains, here, counts } = inOne.deferred();
  const units =
    here ?? (await elsewhere) ?? database.transaction(() => checkUnits(partsNow().units)).deferred();
  const faults = await structure();
  return { ...counts, findings: atMost([...faults.map(databaseDamaged), ...chains, ...units]) };
}

function checkChains<Unit>(parts: CheckParts<Unit>, entries: number) {
  const { rules, statements, ends, known, looked } = parts;
  function* rows() {
    let count = 0;
    for (const row of statements.iterate('everyEntry')) {
      yield row;
      count += 1;
      if (count % tellEvery === 0) looked?.(count, entries);
    }
  }
  return rules.checkChain(rows(), { ends, known });
}

const tellEvery = 1000;

function countOf(statements: Statements, name: 'countEntries' | 'countUnits'): number {
  try {
    return statements.count(name);
  } catch {
    // Damaged: the findings say so.
    return 0;
  }
}
