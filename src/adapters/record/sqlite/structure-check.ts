// SQLite's own look at the whole file: pages, indexes against tables, what each column may hold. Of a long record it
// runs on a second thread, over a connection of its own, while the chains are followed on the first. Where the thread
// does not come up, the caller's own thread does its work. Changes nothing.

import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';
import type Database from 'better-sqlite3';

/** Below that a thread takes longer to come up than the look. */
const manyEntries = 20_000;
const pragma = 'PRAGMA integrity_check(20)';

/** What is wrong, in SQLite's words; empty where nothing is. */
export type StructureFaults = readonly string[];

/** Begins at once where it is worth a thread; the answer is asked for when the rest is done. */
export function startStructureCheck(
  database: Database.Database,
  { path, entries }: { readonly path: string; readonly entries: number },
): () => Promise<StructureFaults> {
  if (entries < manyEntries) return async () => faultsHere(database);
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

/** Pages that cannot be read. */
export function isDamage(error: unknown): boolean {
  return String((error as { code?: unknown }).code).startsWith('SQLITE_CORRUPT');
}

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

/** undefined: it could not be asked there. Never rejects. */
function faultsElsewhere(path: string): Promise<StructureFaults | undefined> {
  return new Promise((resolve) => {
    try {
      const sqlite = createRequire(import.meta.url).resolve('better-sqlite3');
      const worker = new Worker(work, { eval: true, workerData: { sqlite, path, pragma } });
      worker.once('message', (answer: Answer) => {
        if ('lines' in answer) resolve(faultsOf(answer.lines));
        else resolve(isDamage(answer) ? [answer.message] : undefined);
      });
      worker.once('error', () => resolve(undefined));
      worker.once('exit', () => resolve(undefined));
    } catch {
      resolve(undefined);
    }
  });
}
