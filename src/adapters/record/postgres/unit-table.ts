// The table of what each unit's entries add up to. Derived: every row can be made anew from the entries, and is
// equal to the byte then. Rows that are behind their entries are on a list; whoever may write units brings them up to
// date, whoever may not adds them up for itself. Does not know what a state holds beyond the keys it is looked up by.

import type { RecordRules, StoredEntry } from '../../../ports/record-rules.ts';
import type { Entry, UnitFilter } from '../../../ports/record-store.ts';
import { Failure } from '../../../words/failure.ts';
import { pageLength } from '../queries/page-length.ts';
import { admitsUnit, type UnitRow, unitRow, unitsPageOf } from '../unit-row.ts';
import type { Queries } from './connection.ts';

export class UnitTable<Unit> {
  readonly #rules: RecordRules<Unit>;
  readonly #open: (stored: StoredEntry) => Entry;

  constructor(rules: RecordRules<Unit>, open: (stored: StoredEntry) => Entry) {
    this.#rules = rules;
    this.#open = open;
  }

  async get(queries: Queries, serial: string): Promise<Unit | undefined> {
    const row = await queries.get('unitStateOrStale', { serial });
    if (row === undefined) return undefined;
    if (row.stale !== null) return this.#fold((await this.#entriesOf(queries, [serial])).get(serial));
    return row.state === null ? undefined : this.#rules.decodeUnit(row.state);
  }

  async *pages(queries: Queries, filter: UnitFilter): AsyncGenerator<readonly Unit[]> {
    const before = filter.claimedBeforeMs;
    const { name, values } = unitsPageOf(filter);
    let after = '';
    for (;;) {
      const rows = await queries.all(name, { after, ...values });
      const last = rows.at(-1);
      if (last === undefined) return;
      const isSettled = ({ newest_ms }: (typeof rows)[number]) =>
        newest_ms !== null && (before === undefined || newest_ms < before);
      const open = rows.filter((row) => !isSettled(row)).map(({ serial }) => serial);
      const entries = await this.#entriesOf(queries, open);
      const units = rows.map((row) =>
        isSettled(row) && row.state !== null
          ? this.#rules.decodeUnit(row.state)
          : this.#fold(entries.get(row.serial), before),
      );
      yield units.filter(
        (unit) => unit !== undefined && admitsUnit(filter, this.#rules.keys(unit)),
      ) as Unit[];
      if (rows.length < pageLength) return;
      after = last.serial;
    }
  }

  async serialsFrom(queries: Queries, texts: readonly string[]): Promise<(string | null)[]> {
    return (await queries.all('serialsFrom', { texts })).map(({ serial }) => serial);
  }

  /** Serials of what is registered, behind or not. */
  async #serials(queries: Queries): Promise<string[]> {
    const settled = (await queries.all('serials')).map(({ serial }) => serial);
    const behind = await queries.all('staleSerials');
    if (behind.length === 0) return settled;
    const all = new Set(settled);
    for (let from = 0; from < behind.length; from += pageLength) {
      const some = behind.slice(from, from + pageLength).map(({ serial }) => serial);
      const entries = await this.#entriesOf(queries, some);
      for (const serial of some) {
        if (this.#fold(entries.get(serial)) === undefined) all.delete(serial);
        else all.add(serial);
      }
    }
    return [...all].sort(byBytes);
  }

  /** Of what is registered, and of what a row that is behind still says. */
  async sites(queries: Queries): Promise<string[]> {
    const all = new Set((await queries.all('sites')).map(({ site }) => site));
    const behind = (await queries.all('staleSerials')).map(({ serial }) => serial);
    for (let from = 0; from < behind.length; from += pageLength) {
      const entries = await this.#entriesOf(queries, behind.slice(from, from + pageLength));
      for (const some of entries.values()) {
        const unit = this.#fold(some);
        const site = unit === undefined ? null : this.#rules.keys(unit).site;
        if (site !== null) all.add(site);
      }
    }
    return [...all].sort(byBytes);
  }

  /** Of what is registered, behind or not. */
  async count(queries: Queries): Promise<number> {
    if ((await queries.all('staleSerials')).length > 0) return (await this.#serials(queries)).length;
    return Number((await queries.get('countUnits'))?.count);
  }

  /** Writes the units' rows from their entries, and takes them off the list. Within a transaction. */
  async addUp(queries: Queries, serials: Iterable<string>): Promise<void> {
    // In one order, so that two who add up the same units wait for each other instead of both for both.
    const sorted = [...serials].sort(byBytes);
    for (let from = 0; from < sorted.length; from += pageLength) {
      const some = sorted.slice(from, from + pageLength);
      await queries.all('dropStale', { serials: some });
      await this.#store(queries, some);
    }
  }

  async #store(queries: Queries, serials: readonly string[]): Promise<void> {
    const rows = await this.#rowsFromEntries(queries, serials);
    const gone = serials.filter((serial) => !rows.has(serial));
    if (gone.length > 0) await queries.all('removeUnitsGiven', { serials: gone });
    if (rows.size === 0) return;
    const list = [...rows.values()];
    await queries.all('putUnits', {
      serials: list.map(({ serial }) => serial),
      products: list.map(({ product }) => product),
      sites: list.map(({ site }) => site),
      retired: list.map(({ retired }) => retired),
      newest: list.map(({ newest_ms }) => newest_ms),
      states: list.map(({ state }) => state),
    });
  }

  /** Brings some of those that are behind up to date, in a transaction; false: there are none, or others are at them. */
  async settleSome(queries: Queries): Promise<boolean> {
    const taken = (await queries.all('takeStale')).map(({ serial }) => serial).sort(byBytes);
    // Whoever was adding to one of them has committed by now, and is seen from here on.
    await this.#store(queries, taken);
    return taken.length > 0;
  }

  async #rowsFromEntries(queries: Queries, serials: readonly string[]): Promise<Map<string, UnitRow>> {
    const entries = await this.#entriesOf(queries, serials);
    const rows = new Map<string, UnitRow>();
    for (const serial of serials) {
      const unit = this.#fold(entries.get(serial));
      if (unit !== undefined) rows.set(serial, unitRow(this.#rules, unit));
    }
    return rows;
  }

  #fold(entries: readonly Entry[] = [], claimedBeforeMs?: number): Unit | undefined {
    return this.#rules.fold(entries, claimedBeforeMs);
  }

  async #entriesOf(queries: Queries, serials: readonly string[]): Promise<Map<string, Entry[]>> {
    const found = new Map<string, Entry[]>();
    if (serials.length === 0) return found;
    for (const stored of await queries.all('entriesOfUnits', { serials })) {
      const of = found.get(stored.serial ?? '');
      if (of === undefined) found.set(stored.serial ?? '', [this.#open(stored)]);
      else of.push(this.#open(stored));
    }
    return found;
  }

  /** Serials whose row is not what their entries add up to, or whose entries cannot be read; those behind left out. */
  async *differing(queries: Queries): AsyncGenerator<string> {
    const behind = new Set((await queries.all('staleSerials')).map(({ serial }) => serial));
    for await (const serials of this.#allSerials(queries)) {
      const stored = new Map((await queries.all('storedUnits', { serials })).map((row) => [row.serial, row]));
      for (const serial of serials) {
        if (behind.has(serial)) continue;
        if (!(await this.#agrees(queries, serial, stored.get(serial)))) yield serial;
      }
    }
  }

  async #agrees(queries: Queries, serial: string, stored: UnitRow | undefined): Promise<boolean> {
    try {
      const row = (await this.#rowsFromEntries(queries, [serial])).get(serial);
      return JSON.stringify(stored) === JSON.stringify(row);
    } catch (error) {
      if (error instanceof Failure) return false;
      throw error;
    }
  }

  async *#allSerials(queries: Queries): AsyncGenerator<readonly string[]> {
    let after = '';
    for (;;) {
      const serials = (await queries.all('serialsAfter', { after })).map(({ serial }) => serial);
      const last = serials.at(-1);
      if (last === undefined) return;
      yield serials;
      after = last;
    }
  }

  async rebuild(queries: Queries): Promise<{ units: number; differed: string[] }> {
    const differed: string[] = [];
    for await (const serial of this.differing(queries)) differed.push(serial);
    await queries.all('removeUnits');
    for await (const serials of this.#allSerials(queries)) await this.addUp(queries, serials);
    return { units: await this.count(queries), differed };
  }
}

/** As both engines sort: by the bytes of UTF-8. */
function byBytes(a: string, b: string): number {
  return Buffer.compare(Buffer.from(a), Buffer.from(b));
}
