// The rows of a sheet as the record knows them: its units in the sheet's own order, each with what has been logged of
// it from this sheet already, or why nothing can be. Asks nothing.

import type { Entry, RecordStore } from '../ports/record-store.ts';
import { asCorrected } from '../record/as-corrected.ts';
import { type KnownEntry, knownEntry } from '../record/entry.ts';
import { inClaimedOrder } from '../record/entry-order.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import type { SheetFacts } from '../sheet/sheet-facts.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';

export type OutcomeEntry = Extract<KnownEntry, { kind: 'outcome' }>;

export interface SheetRow {
  /** From 1. */
  readonly row: number;
  readonly serial: string;
  readonly unit: UnitRecord;
  /** Newest last. */
  readonly logged: readonly OutcomeEntry[];
}

/** A row of which nothing can be logged, and why; or of which nothing was, by choice. */
export interface SkippedRow {
  readonly row: number;
  readonly serial: string | null;
  readonly code: 'logged-before' | 'skipped' | 'unit-unknown' | 'unit-retired' | 'other-product';
  readonly summary: string;
  readonly entry?: string;
}

/** Outcomes of the unit that name this sheet, in the order in which they count: as corrected, or as first written. */
export async function outcomesOfSheet(
  store: RecordStore<UnitRecord> | undefined,
  serial: string,
  sheet: string,
  as: 'corrected' | 'written' = 'corrected',
): Promise<OutcomeEntry[]> {
  const all: Entry[] = [];
  for await (const entry of store?.entries({ serial }) ?? []) all.push(entry);
  const found: OutcomeEntry[] = [];
  for (const entry of as === 'written' ? all : inClaimedOrder(asCorrected(all))) {
    const known = knownEntry(entry);
    if (known?.kind === 'outcome' && known.body.sheet === sheet) found.push(known);
  }
  return found;
}

export async function sheetRows(context: Context, facts: SheetFacts): Promise<(SheetRow | SkippedRow)[]> {
  const store = await context.record('read');
  const rows: (SheetRow | SkippedRow)[] = [];
  for (const [index, { serial }] of facts.units.entries()) {
    rows.push(await sheetRow(store, facts, index + 1, serial));
  }
  return rows;
}

async function sheetRow(
  store: RecordStore<UnitRecord> | undefined,
  { sheet, product }: SheetFacts,
  row: number,
  serial: string,
): Promise<SheetRow | SkippedRow> {
  const unit = await store?.unit(serial);
  const cannot = (code: SkippedRow['code'], why: string): SkippedRow => ({
    row,
    serial,
    code,
    summary: `${printable(serial, 80)} ${why}`,
  });
  if (unit === undefined) return cannot('unit-unknown', 'is not registered (any more).');
  if (unit.retired) return cannot('unit-retired', 'is retired.');
  if (unit.product !== product)
    return cannot('other-product', `is registered as ${printable(unit.product)}.`);
  return { row, serial, unit, logged: await outcomesOfSheet(store, serial, sheet) };
}

export function isSkipped(row: SheetRow | SkippedRow): row is SkippedRow {
  return 'code' in row;
}

export function loggedBefore({ row, serial, logged }: SheetRow): SkippedRow | undefined {
  const last = logged.at(-1);
  if (last === undefined) return undefined;
  return {
    row,
    serial,
    code: 'logged-before',
    summary: `${printable(serial, 80)} was logged from this sheet before: ${last.body.outcome}, entry ${last.id}.`,
    entry: last.id,
  };
}
