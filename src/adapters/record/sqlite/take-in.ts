// Others' entries are stored as they came, one batch a transaction, with their marks and the units they touch.
// A chain stays whole: nothing is stored whose predecessor is not here, and after a refusal or a split nothing
// more of that chain is. Does not read packets; what is admitted, `admission.ts` says.

import type Database from 'better-sqlite3';
import type { ProvedEntry, RecordRules, SealedEntry } from '../../../ports/record-rules.ts';
import type { TakenIn } from '../../../ports/record-store.ts';
import { Admission, type ChainEnd } from '../admission.ts';
import { EntryWriter } from './entry-writer.ts';
import type { Statements } from './statements.ts';
import type { UnitTable } from './unit-table.ts';

export interface TakeInParts<Unit> {
  /** This computer's own chain: never grows here. */
  readonly own: string;
  readonly rules: RecordRules<Unit>;
  readonly statements: Statements;
  readonly units: UnitTable<Unit>;
  endOf(laptop: string): ChainEnd;
}

export class TakeIn<Unit> {
  readonly #database: Database.Database;
  readonly #parts: TakeInParts<Unit>;
  readonly #admission: Admission<Unit>;

  constructor(database: Database.Database, parts: TakeInParts<Unit>) {
    this.#database = database;
    this.#parts = parts;
    this.#admission = new Admission(parts.rules, parts.own);
  }

  /** All of it in one transaction: where `batch` throws, nothing of it is stored. */
  store(batch: Iterable<SealedEntry | ProvedEntry>): void {
    this.#database.transaction(() => this.#storeAll(batch)).immediate();
  }

  result(): TakenIn {
    return this.#admission.result();
  }

  #storeAll(batch: Iterable<SealedEntry | ProvedEntry>): void {
    const { statements, units, endOf } = this.#parts;
    const ends = new Map<string, ChainEnd>();
    const writer = new EntryWriter(statements, units);
    const next = this.#admission.admit(batch, {
      endOf,
      hashAt: (laptop, seq) => statements.get('hashAt', { laptop, seq })!.hash,
    });
    for (const stored of next) {
      writer.insert(stored);
      ends.set(stored.laptop, { seq: stored.seq, hash: stored.hash });
    }
    writer.addUpUnits();
    for (const [laptop, { seq, hash }] of ends) statements.run('noteMark', { laptop, seq, hash });
  }
}
