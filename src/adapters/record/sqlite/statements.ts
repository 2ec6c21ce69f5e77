// The queries of `query-texts.ts`, prepared once each: one of them may be used thousands of times in a batch.

import type Database from 'better-sqlite3';
import { type QueryRows, queryTexts } from './query-texts.ts';

export type QueryName = keyof QueryRows;
/** By the names that the query's definition gives them. */
export type QueryValues = Readonly<Record<string, string | number | null>>;

export class Statements {
  readonly #database: Database.Database;
  readonly #prepared = new Map<QueryName, Database.Statement>();

  constructor(database: Database.Database) {
    this.#database = database;
  }

  run(name: QueryName, values: QueryValues = {}): void {
    this.#prepare(name).run(...listOf(name, values));
  }

  get<Name extends QueryName>(name: Name, values: QueryValues = {}): QueryRows[Name] | undefined {
    return this.#prepare(name).get(...listOf(name, values)) as QueryRows[Name] | undefined;
  }

  all<Name extends QueryName>(name: Name, values: QueryValues = {}): QueryRows[Name][] {
    return this.#prepare(name).all(...listOf(name, values)) as QueryRows[Name][];
  }

  /** Row after row; nothing may be written through this connection until it has come to its end. */
  iterate<Name extends QueryName>(name: Name, values: QueryValues = {}): IterableIterator<QueryRows[Name]> {
    return this.#prepare(name).iterate(...listOf(name, values)) as IterableIterator<QueryRows[Name]>;
  }

  count(name: 'countEntries' | 'countUnits' | 'countMarks'): number {
    return Number(this.get(name)?.count);
  }

  #prepare(name: QueryName): Database.Statement {
    let statement = this.#prepared.get(name);
    if (statement === undefined) {
      statement = this.#database.prepare(queryTexts[name].sql);
      this.#prepared.set(name, statement);
    }
    return statement;
  }
}

function listOf(name: QueryName, values: QueryValues): (string | number | null)[] {
  return queryTexts[name].names.map((value) => {
    const given = values[value];
    if (given === undefined) throw new TypeError(`${name} lacks ${value}`);
    return given;
  });
}
