// What an audit needs of the record: every unit as it stood at the end of a day, and the outcomes and cards up
// to then. Without a day given everything counts, also what a laptop with a fast clock dates to tomorrow.

import { laterDay } from '../fleet/pace.ts';
import { isCalendarDate } from '../manifest/calendar-date.ts';
import { countedEntries } from '../record/counted-entries.ts';
import { type EntryKind, type KnownEntry, knownEntry } from '../record/entry.ts';
import { repeatedOutcomes } from '../record/repeated-outcomes.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';

export type KnownOf<K extends EntryKind> = Extract<KnownEntry, { kind: K }>;

export interface AuditRecord {
  readonly day: string;
  /** The end of the day; where that has not come yet, of today. */
  readonly endMs: number;
  /** Retired ones too. */
  readonly units: readonly UnitRecord[];
  /** Without those that only say again what was collected before. */
  readonly outcomes: readonly KnownOf<'outcome'>[];
  /** As they count, corrections applied, in order of claimed time. */
  entries<K extends Exclude<EntryKind, 'correction'>>(kind: K): Promise<KnownOf<K>[]>;
}

export async function readAuditRecord(context: Context, asOf: OptionValues[string]): Promise<AuditRecord> {
  const { clock } = context;
  const today = formatLocalDay(clock.now(), clock);
  const day = typeof asOf === 'string' ? requireDay(asOf) : today;
  const endOf = (one: string) => clock.startOfLocalDay(laterDay(one, 1));
  const until = typeof asOf === 'string' ? { claimedBeforeMs: endOf(day) } : {};
  const store = await context.record('read');

  const units: UnitRecord[] = [];
  for await (const unit of store?.units({ retired: 'with', ...until }) ?? []) units.push(unit);
  const entries = async <K extends Exclude<EntryKind, 'correction'>>(kind: K) => {
    const found: KnownOf<K>[] = [];
    for await (const entry of store === undefined ? [] : countedEntries(store, { kind, ...until })) {
      const known = knownEntry(entry);
      if (known?.kind === kind) found.push(known as KnownOf<K>);
    }
    return found;
  };
  const repeats = repeatedOutcomes();
  return {
    day,
    endMs: Math.min(endOf(day), endOf(today)),
    units,
    outcomes: (await entries('outcome')).filter(({ body }) => !repeats(body)),
    entries,
  };
}

function requireDay(text: string): string {
  const day = text.trim();
  if (isCalendarDate(day)) return day;
  throw new Failure({
    code: 'date-form',
    exit: 2,
    summary: '--as-of is no day.',
    seen: printable(text, 40),
    expected: 'a day as YYYY-MM-DD',
    where: '--as-of',
    next: 'For example: --as-of 2026-11-24',
  });
}
