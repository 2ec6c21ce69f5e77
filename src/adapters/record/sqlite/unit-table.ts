// The table of what each unit's entries add up to. Derived: every row can be made anew from the entries, and is
// equal to the byte then. Does not know what a state holds beyond the keys it is looked up by.

import type { RecordRules, SealedEntry } from '../../../ports/record-rules.ts';
import type { Entry, UnitFilter } from '../../../ports/record-store.ts';
import { Failure } from '../../../words/failure.ts';
import { pageLength } from '../queries/page-length.ts';
import { admitsUnit, type UnitRow, unitRow, unitsPageOf } from '../unit-row.ts';
import { pieceLength } from './in-pieces.ts';
import type { Statements } from './statements.ts';

export class UnitTable<Unit> {
  readonly #statements: Statements;
  readonly #rules: RecordRules<Unit>;
  readonly #open: (sealed: SealedEntry) => Entry;

  constructor(statements: Statements, rules: RecordRules<Unit>, open: (sealed: SealedEntry) => Entry) {
    this.#statements = statements;
    this.#rules = rules;
    this.#open = open;
  }

  get(serial: string): Unit | undefined {
    const state = this.#statements.get('unitState', { serial })?.state;
    return state === undefined ? undefined : this.#rules.decodeUnit(state);
  }

  serialFrom(from: string): string | null {
    return this.#statements.get('serialFrom', { from })?.serial ?? null;
  }

  sites(): string[] {
    return this.#statements.all('sites').map(({ site }) => site);
  }

  /** Writes the unit's row from its entries. */
  addUp(serial: string): void {
    const unit = this.#rules.fold(this.#entriesOf(serial));
    if (unit === undefined) this.#statements.run('removeUnit', { serial });
    else this.#statements.run('putUnit', { ...unitRow(this.#rules, unit) });
  }

  #entriesOf(serial: string): Entry[] {
    return this.#statements.all('sealedOfUnit', { serial }).map(this.#open);
  }

  *pages(filter: UnitFilter): Generator<readonly Unit[]> {
    const before = filter.claimedBeforeMs;
    const { name, values } = unitsPageOf(filter);
    let after = '';
    for (;;) {
      const rows = this.#statements.all(name, { after, ...values });
      const last = rows.at(-1);
      if (last === undefined) return;
      const units = rows.map((row) =>
        before === undefined || row.newest_ms < before
          ? this.#rules.decodeUnit(row.state)
          : this.#rules.fold(this.#entriesOf(row.serial), before),
      );
      yield units.filter(
        (unit) => unit !== undefined && admitsUnit(filter, this.#rules.keys(unit)),
      ) as Unit[];
      if (rows.length < pageLength) return;
      after = last.serial;
    }
  }

  /** Every serial with an entry or a row. */
  *allSerials(): Generator<string> {
    let after = '';
    for (;;) {
      const serial = this.#statements.get('serialAfter', { after })?.serial ?? null;
      if (serial === null) return;
      yield serial;
      after = serial;
    }
  }

  /**
   * Serials whose row is not what their entries add up to, or whose entries cannot be read. One pass over all entries
   * and one over all rows, side by side; each unit's entries are held, no more.
   */
  *differing(): Generator<string> {
    const rows = this.#statements.iterate('everyUnit');
    try {
      let row = rows.next();
      for (const { serial, entries } of this.#entriesByUnit()) {
        while (!row.done && isBefore(row.value.serial, serial)) {
          yield row.value.serial;
          row = rows.next();
        }
        const own = !row.done && row.value.serial === serial ? row.value : undefined;
        if (!this.#agrees(entries, own)) yield serial;
        if (own !== undefined) row = rows.next();
      }
      for (; !row.done; row = rows.next()) yield row.value.serial;
    } finally {
      // Whoever has heard enough leaves no statement open.
      rows.return?.();
    }
  }

  *#entriesByUnit(): Generator<{ readonly serial: string; readonly entries: readonly SealedEntry[] }> {
    let unit: { readonly serial: string; readonly entries: SealedEntry[] } | undefined;
    for (const entry of this.#statements.iterate('entriesByUnit')) {
      if (unit?.serial === entry.serial) {
        unit.entries.push(entry);
        continue;
      }
      if (unit !== undefined) yield unit;
      unit = { serial: entry.serial, entries: [entry] };
    }
    if (unit !== undefined) yield unit;
  }

  #agrees(entries: readonly SealedEntry[], row: UnitRow | undefined): boolean {
    try {
      const unit = this.#rules.fold(entries.map(this.#open));
      const made = unit === undefined ? undefined : unitRow(this.#rules, unit);
      if (made === undefined || row === undefined) return made === row;
      return (
        row.serial === made.serial &&
        row.product === made.product &&
        row.site === made.site &&
        row.retired === made.retired &&
        row.newest_ms === made.newest_ms &&
        row.state === made.state
      );
    } catch (error) {
      if (error instanceof Failure) return false;
      throw error;
    }
  }

  /** Piece by piece, inside a transaction of the caller's. */
  *rebuilding(): Generator<void, { units: number; differed: string[] }> {
    const differed = [...this.differing()];
    yield;
    this.#statements.run('removeUnits');
    let count = 0;
    for (const serial of this.allSerials()) {
      this.addUp(serial);
      count += 1;
      if (count % pieceLength === 0) yield;
    }
    return { units: this.#statements.count('countUnits'), differed };
  }
}

/** As SQLite orders texts: by their bytes. */
function isBefore(one: string, other: string): boolean {
  return one !== other && Buffer.compare(Buffer.from(one), Buffer.from(other)) < 0;
}
