// Others' entries are stored as they came, one batch a transaction, with their marks and the units they touch.
// A chain stays whole: nothing is stored whose predecessor is not here, and after a refusal or a split nothing
// more of that chain is. Does not read packets; what is admitted, `admission.ts` says.

import type Database from 'better-sqlite3';
import type { ProvedEntry, RecordRules, SealedEntry } from '../../../ports/record-rules.ts';
import type { TakenIn } from '../../../ports/record-store.ts';
import { Admission, type ChainEnd, type ChainsHere } from '../admission.ts';
import { EntryWriter } from './entry-writer.ts';
import { pieceLength } from './in-pieces.ts';
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
    this.#database
      .transaction(() => {
        for (const _ of this.storing(batch));
      })
      .immediate();
  }

  result(): TakenIn {
    return this.#admission.result();
  }

  /** The same, piece by piece, inside a transaction of the caller's. */
  *storing(batch: Iterable<SealedEntry | ProvedEntry>): Generator<void, void> {
    const { statements, units, endOf } = this.#parts;
    const ends = new Map<string, ChainEnd>();
    const writer = new EntryWriter(statements, units);
    const here: ChainsHere = {
      // Of a chain that has grown here no end is noted before all is stored.
      endOf: (laptop) => ends.get(laptop) ?? endOf(laptop),
      hashAt: (laptop, seq) => statements.get('hashAt', { laptop, seq })!.hash,
    };
    const pieces = piecesOf(batch);
    try {
      for (const piece of pieces) {
        for (const stored of this.#admission.admit(piece, here)) {
          writer.insert(stored);
          ends.set(stored.laptop, { seq: stored.seq, hash: stored.hash });
        }
        yield;
      }
    } finally {
      pieces.return(undefined);
    }
    writer.addUpUnits();
    for (const [laptop, { seq, hash }] of ends) statements.run('noteMark', { laptop, seq, hash });
  }
}

/** Each is read while it is gone through; the source is closed with the last, or with this. */
function* piecesOf<T>(batch: Iterable<T>): Generator<Iterable<T>> {
  const source = batch[Symbol.iterator]();
  let isAtEnd = false;
  function* piece() {
    for (let count = 0; count < pieceLength; count++) {
      const next = source.next();
      if (next.done === true) {
        isAtEnd = true;
        return;
      }
      yield next.value;
    }
  }
  try {
    while (!isAtEnd) yield piece();
  } finally {
    if (!isAtEnd) source.return?.();
  }
}
