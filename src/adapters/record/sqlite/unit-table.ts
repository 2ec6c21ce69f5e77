// The table of what each unit's entries add up to. Derived: every row can be made anew from the entries, and is
// equal to the byte then. Does not know what a state holds beyond the keys it is looked up by.

import type Database from 'better-sqlite3';
import type { RecordRules, StoredEntry, UnitKeys } from '../../../ports/record-rules.ts';
import type { Entry, UnitFilter } from '../../../ports/record-store.ts';
import { Failure } from '../../../words/failure.ts';
import { entryColumns } from './entry-pages.ts';

const pageLength = 500;

interface UnitRow {
  readonly serial: string;
  readonly product: string;
  readonly site: string | null;
  readonly retired: number;
  readonly newest_ms: number;
  readonly state: string;
}

export class UnitTable<Unit> {
  readonly #database: Database.Database;
  readonly #rules: RecordRules<Unit>;
  readonly #open: (stored: StoredEntry) => Entry;

  constructor(database: Database.Database, rules: RecordRules<Unit>, open: (stored: StoredEntry) => Entry) {
    this.#database = database;
    this.#rules = rules;
    this.#open = open;
  }

  get(serial: string): Unit | undefined {
    const state = this.#statement('SELECT state FROM units WHERE serial = ?').pluck().get(serial) as
      | string
      | undefined;
    return state === undefined ? undefined : this.#rules.decodeUnit(state);
  }

  serials(): string[] {
    return this.#statement('SELECT serial FROM units ORDER BY serial').pluck().all() as string[];
  }

  /** Writes the unit's row from its entries. */
  addUp(serial: string): void {
    const row = this.rowFromEntries(serial);
    if (row === undefined) {
      this.#statement('DELETE FROM units WHERE serial = ?').run(serial);
      return;
    }
    this.#statement(
      `INSERT INTO units (serial, product, site, retired, newest_ms, state)
       VALUES (@serial, @product, @site, @retired, @newest_ms, @state)
       ON CONFLICT (serial) DO UPDATE SET product = excluded.product, site = excluded.site,
         retired = excluded.retired, newest_ms = excluded.newest_ms, state = excluded.state`,
    ).run(row);
  }

  rowFromEntries(serial: string): UnitRow | undefined {
    const unit = this.#rules.fold(this.#entriesOf(serial));
    return unit === undefined ? undefined : this.#rowOf(unit);
  }

  #rowOf(unit: Unit): UnitRow {
    const { serial, product, site, retired, newestMs } = this.#rules.keys(unit);
    return {
      serial,
      product,
      site,
      retired: retired ? 1 : 0,
      newest_ms: newestMs,
      state: this.#rules.encodeUnit(unit),
    };
  }

  #entriesOf(serial: string): Entry[] {
    const stored = this.#statement(
      `SELECT ${entryColumns} FROM entries WHERE serial = ?
       ORDER BY claimed_ms, written_ms, laptop, seq`,
    ).all(serial) as StoredEntry[];
    return stored.map(this.#open);
  }

  *pages(filter: UnitFilter): Generator<readonly Unit[]> {
    const before = filter.claimedBeforeMs;
    // As of an earlier time a unit may have stood elsewhere: its keys are looked at after it is added up.
    const { sql, values } = before === undefined ? conditionsOf(filter) : { sql: '', values: {} };
    const statement = this.#database.prepare(
      `SELECT serial, newest_ms, state FROM units WHERE serial > @after ${sql} ORDER BY serial LIMIT ${pageLength}`,
    );
    let after = '';
    for (;;) {
      const rows = statement.all({ after, ...values }) as Pick<UnitRow, 'serial' | 'newest_ms' | 'state'>[];
      const last = rows.at(-1);
      if (last === undefined) return;
      const units = rows.map((row) =>
        before === undefined || row.newest_ms < before
          ? this.#rules.decodeUnit(row.state)
          : this.#rules.fold(this.#entriesOf(row.serial), before),
      );
      yield units.filter((unit) => unit !== undefined && admits(filter, this.#rules.keys(unit))) as Unit[];
      if (rows.length < pageLength) return;
      after = last.serial;
    }
  }

  /** Every serial with an entry or a row. */
  *allSerials(): Generator<string> {
    const statement = this.#database
      .prepare(
        `SELECT min(serial) FROM (
           SELECT min(serial) AS serial FROM entries WHERE serial > @after
           UNION ALL SELECT min(serial) FROM units WHERE serial > @after)`,
      )
      .pluck();
    let after = '';
    for (;;) {
      const serial = statement.get({ after }) as string | null;
      if (serial === null) return;
      yield serial;
      after = serial;
    }
  }

  storedRow(serial: string): UnitRow | undefined {
    return this.#statement(
      'SELECT serial, product, site, retired, newest_ms, state FROM units WHERE serial = ?',
    ).get(serial) as UnitRow | undefined;
  }

  /** Serials whose row is not what their entries add up to, or whose entries cannot be read. */
  *differing(): Generator<string> {
    for (const serial of this.allSerials()) if (!this.#agrees(serial)) yield serial;
  }

  #agrees(serial: string): boolean {
    try {
      return JSON.stringify(this.storedRow(serial)) === JSON.stringify(this.rowFromEntries(serial));
    } catch (error) {
      if (error instanceof Failure) return false;
      throw error;
    }
  }

  rebuild(): { units: number; differed: string[] } {
    const differed = [...this.differing()];
    this.#database.prepare('DELETE FROM units').run();
    for (const serial of this.allSerials()) this.addUp(serial);
    const units = this.#database.prepare('SELECT count(*) FROM units').pluck().get() as number;
    return { units, differed };
  }

  // One statement is used thousands of times where a table is taken in.
  readonly #statements = new Map<string, Database.Statement>();

  #statement(sql: string): Database.Statement {
    let statement = this.#statements.get(sql);
    if (statement === undefined) {
      statement = this.#database.prepare(sql);
      this.#statements.set(sql, statement);
    }
    return statement;
  }
}

function conditionsOf(filter: UnitFilter): { sql: string; values: Record<string, string> } {
  const values: Record<string, string> = {};
  let sql = '';
  for (const column of ['product', 'site'] as const) {
    const value = filter[column];
    if (value === undefined) continue;
    sql += ` AND ${column} = @${column}`;
    values[column] = value;
  }
  return { sql, values };
}

function admits(filter: UnitFilter, { product, site, retired }: UnitKeys): boolean {
  if (filter.product !== undefined && filter.product !== product) return false;
  if (filter.site !== undefined && filter.site !== site) return false;
  const wanted = filter.retired ?? 'without';
  return wanted === 'with' || retired === (wanted === 'only');
}
