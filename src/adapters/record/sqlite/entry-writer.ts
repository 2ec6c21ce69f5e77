// Writes entries that have their place in their chains already, and then the units that they touch, inside the
// transaction of whoever calls. Holds serials until then, a bounded number, and no entry.

import type { StoredEntry } from '../../../ports/record-rules.ts';
import type { Statements } from './statements.ts';
import type { UnitTable } from './unit-table.ts';

/** A unit's entries most often come together: then it is added up once. */
const maxTouched = 50_000;

export class EntryWriter<Unit> {
  readonly #statements: Statements;
  readonly #units: UnitTable<Unit>;
  readonly #touched = new Set<string>();

  constructor(statements: Statements, units: UnitTable<Unit>) {
    this.#statements = statements;
    this.#units = units;
  }

  insert(stored: StoredEntry): void {
    const { serial } = stored;
    if (serial !== null && this.#touched.size >= maxTouched && !this.#touched.has(serial)) this.addUpUnits();
    this.#statements.run('insertEntry', { ...stored });
    if (serial !== null) this.#touched.add(serial);
  }

  /** Once all of them are written; those that are touched again later are added up again. */
  addUpUnits(): void {
    for (const serial of this.#touched) this.#units.addUp(serial);
    this.#touched.clear();
  }
}
