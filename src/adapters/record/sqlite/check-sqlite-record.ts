// Everything that can be checked of a record in SQLite: the file's own structure, every chain, and whether each
// unit's row is what its entries add up to. Of a long record on three threads, each over a connection of its own: the
// three ask nothing of one another. Changes nothing.

import { setTimeout as wait } from 'node:timers/promises';
import type Database from 'better-sqlite3';
import type { RecordRules } from '../../../ports/record-rules.ts';
import type { Looked, Mark, Pause, RecordCheck } from '../../../ports/record-store.ts';
import type { Finding } from '../../../words/finding.ts';
import { atMost, databaseDamaged, isDamage, maxFindings } from './check-findings.ts';
import { checkUnits, startUnitsCheck } from './check-units.ts';
import { inPieces, pieceLength } from './in-pieces.ts';
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
  pause?: Pause,
): Promise<RecordCheck> {
  // What others write meanwhile must not look like damage: one transaction, which ends before a thread is waited for.
  function* inOne() {
    const parts = partsNow();
    const entries = countOf(parts.statements, 'countEntries');
    const structure = startStructureCheck(database, { path, entries });
    const elsewhere = startUnitsCheck({ path, entries, script: unitsThread });
    const chains = yield* followChains(parts, entries);
    const here = elsewhere === undefined ? checkUnits(parts.units) : undefined;
    const units = countOf(parts.statements, 'countUnits');
    return { structure, elsewhere, chains, here, counts: { entries, units, marks: parts.ends } };
  }
  const { structure, elsewhere, chains, here, counts } = await inPieces(database, inOne(), pause, 'deferred');
  const units =
    here ??
    (elsewhere === undefined ? undefined : await unlessStopped(elsewhere, pause)) ??
    database.transaction(() => checkUnits(partsNow().units)).deferred();
  const faults = await unlessStopped(structure(), pause);
  return { ...counts, findings: atMost([...faults.map(databaseDamaged), ...chains, ...units]) };
}

/** Piece by piece. Pages that cannot be read end it; what was found before still counts. */
function* followChains<Unit>(parts: CheckParts<Unit>, entries: number): Generator<void, Finding[]> {
  const { rules, statements, ends, known, looked } = parts;
  const check = rules.chainCheck({ ends, known });
  const findings: Finding[] = [];
  let count = 0;
  try {
    for (const row of statements.iterate('everyEntry')) {
      for (const finding of check.look(row)) findings.push(finding);
      if (findings.length > maxFindings) return atMost(findings);
      count += 1;
      if (count % pieceLength !== 0) continue;
      looked?.(count, entries);
      yield;
    }
    for (const finding of check.end()) findings.push(finding);
  } catch (error) {
    if (!isDamage(error)) throw error;
    findings.push(databaseDamaged((error as Error).message));
  }
  return atMost(findings);
}

/** What a thread answers, which works on by itself. */
async function unlessStopped<T>(answer: Promise<T>, pause: Pause | undefined): Promise<T> {
  if (pause === undefined) return answer;
  for (;;) {
    const timer = new AbortController();
    const isDone = await Promise.race([
      answer.then(() => true),
      wait(betweenPausesMs, false, { signal: timer.signal }),
    ]);
    timer.abort();
    if (isDone) return answer;
    await pause();
  }
}

const betweenPausesMs = 100;

function countOf(statements: Statements, name: 'countEntries' | 'countUnits'): number {
  try {
    return statements.count(name);
  } catch {
    // Damaged: the findings say so.
    return 0;
  }
}
