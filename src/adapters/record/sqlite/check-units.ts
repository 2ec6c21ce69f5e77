// Is the row of each unit what its entries add up to? Of a long record on a second thread, with a connection and a
// reading transaction of its own, where the tool was built and its parts can be loaded there. Changes nothing.

import { Worker } from 'node:worker_threads';
import Database from 'better-sqlite3';
import type { RecordRules, SealedEntry } from '../../../ports/record-rules.ts';
import { Failure } from '../../../words/failure.ts';
import type { Finding } from '../../../words/finding.ts';
import { printable } from '../../../words/printable.ts';
import { atMost, untilDamage } from './check-findings.ts';
import { answerOf, worthThreadEntries } from './second-thread.ts';
import { Statements } from './statements.ts';
import { UnitTable } from './unit-table.ts';

/** Inside a transaction of the caller's. */
export function checkUnits<Unit>(units: UnitTable<Unit>): Finding[] {
  return atMost(
    untilDamage(function* () {
      for (const serial of units.differing()) yield unitDiffers(serial);
    }),
  );
}

function unitDiffers(serial: string): Finding {
  return {
    code: 'unit-differs',
    severity: 'stop',
    summary: 'What is stored of a unit is not what its entries add up to.',
    where: printable(serial),
    next: 'Run slotproof record rebuild, then slotproof record check again.',
  };
}

export interface ThreadPlace {
  readonly path: string;
  readonly entries: number;
  /** The script that calls `checkUnitsOf` with its data and answers with what it gives. */
  readonly script: string | undefined;
}

/** undefined: not worth a thread, or none to be had. */
export function startUnitsCheck({
  path,
  entries,
  script,
}: ThreadPlace): Promise<Finding[] | undefined> | undefined {
  if (script === undefined || entries < worthThreadEntries) return undefined;
  return answerOf(() => new Worker(script, { workerData: { path } }));
}

/** What the thread does. Throws where the file cannot be opened: the first thread then looks by itself. */
export function checkUnitsOf<Unit>(path: string, rules: RecordRules<Unit>): Finding[] {
  const database = new Database(path, { readonly: true, fileMustExist: true });
  try {
    const units = new UnitTable(new Statements(database), rules, (sealed) => opened(rules, sealed));
    return database.transaction(() => checkUnits(units)).deferred();
  } finally {
    database.close();
  }
}

function opened<Unit>(rules: RecordRules<Unit>, sealed: SealedEntry) {
  const entry = rules.open(sealed);
  if (entry !== undefined) return entry;
  throw new Failure({
    code: 'record-damaged',
    exit: 7,
    summary: 'An entry of the record cannot be read.',
    next: 'Run slotproof record check.',
  });
}
