// Writes entries that have their place in their chains already, and then the units that they touch, inside the
// transaction of whoever calls. Holds the serials until then, and no entry.

import type { StoredEntry } from '../../../ports/record-rules.ts';
import type { Statements } from './statements.ts';
import type { UnitTable } from './unit-table.ts';

export class EntryWriter<Unit> {
  readonly #statements: Statements;
  readonly #units: UnitTable<Unit>;
  readonly #touched = new Set<string>();

  constructor(statements: Statements, units: UnitTable<Unit>) {
    this.#statements = statements;
    this.#units = units;
  }

  insert(stored: StoredEntry): void {
    if (stored.serial !== null) this.#touched.add(stored.serial);
    this.#statements.run('insertEntry', { ...stored });
  }

  /** Once all of them are written. */
  addUpUnits(): void {
    for (const serial of this.#touched) this.#units.addUp(serial);
    this.#touched.clear();
  }
}
