// SQLite's own look at the whole file: pages, indexes against tables, what each column may hold. Of a long record it
// runs on a second thread, over a connection of its own, while the chains are followed on the first. Where the thread
// does not come up, the caller's own thread does its work. Changes nothing.

import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';
import type Database from 'better-sqlite3';
import { isDamage } from './check-findings.ts';
import { answerOf, worthThreadEntries } from './second-thread.ts';

const pragma = 'PRAGMA integrity_check(20)';

/** What is wrong, in SQLite's words; empty where nothing is. */
export type StructureFaults = readonly string[];

/** Begins at once where it is worth a thread; the answer is asked for when the rest is done. */
export function startStructureCheck(
  database: Database.Database,
  { path, entries }: { readonly path: string; readonly entries: number },
): () => Promise<StructureFaults> {
  if (entries < worthThreadEntries) return async () => faultsHere(database);
  const elsewhere = faultsElsewhere(path);
  return async () => (await elsewhere) ?? faultsHere(database);
}

function faultsHere(database: Database.Database): StructureFaults {
  try {
    return faultsOf(database.prepare(pragma).pluck().all());
  } catch (error) {
    if (isDamage(error)) return [(error as Error).message];
    throw error;
  }
}

const faultsOf = (lines: readonly unknown[]) => lines.map(String).filter((line) => line !== 'ok');

/** Runs on the other thread, as text: it may name nothing of this file. */
const work = `
const { parentPort, workerData } = require('node:worker_threads');
const Database = require(workerData.sqlite);
let answer;
try {
  const database = new Database(workerData.path, { readonly: true, fileMustExist: true });
  try {
    answer = { lines: database.prepare(workerData.pragma).pluck().all() };
  } finally {
    database.close();
  }
} catch (error) {
  answer = { code: String(error.code), message: String(error.message) };
}
parentPort.postMessage(answer);
`;

type Answer = { readonly lines: readonly unknown[] } | { readonly code: string; readonly message: string };

/** undefined: it could not be asked there. */
async function faultsElsewhere(path: string): Promise<StructureFaults | undefined> {
  const answer = await answerOf<Answer>(() => {
    const sqlite = createRequire(import.meta.url).resolve('better-sqlite3');
    return new Worker(work, { eval: true, workerData: { sqlite, path, pragma } });
  });
  if (answer === undefined) return undefined;
  if ('lines' in answer) return faultsOf(answer.lines);
  return isDamage(answer) ? [answer.message] : undefined;
}
