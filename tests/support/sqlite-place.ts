// A record in SQLite in a folder of its own, with a clock that the test turns: a second later at each look.

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { systemRandom } from '../../src/adapters/random/system-random.ts';
import { openSqliteRecord } from '../../src/adapters/record/sqlite/open-sqlite-record.ts';
import type { RecordStore } from '../../src/ports/record-store.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import type { UnitRecord } from '../../src/record/unit-record.ts';
import { day, newYear, utc } from './entries.ts';

export interface SqlitePlace {
  readonly folder: string;
  readonly path: string;
  readonly clock: { nowMs: number };
  open(access?: 'read' | 'write', busyMs?: number): RecordStore<UnitRecord>;
  /** undefined where there is no record. */
  tryOpen(access: 'read' | 'write', busyMs?: number): RecordStore<UnitRecord> | undefined;
  remove(): void;
}

export function sqlitePlace(): SqlitePlace {
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-record-'));
  const path = join(folder, 'record.db');
  // Later than what the tests claim: a claim of what has not happened yet is a finding.
  const clock = { nowMs: newYear + 10 * day };
  const opened: RecordStore<UnitRecord>[] = [];
  const ticking = {
    ...utc,
    now: () => {
      clock.nowMs += 1000;
      return clock.nowMs;
    },
    startOfLocalDay: (day: string) => Date.parse(`${day}T00:00:00Z`),
  };
  function tryOpen(access: 'read' | 'write', busyMs?: number) {
    const place = { path, clock: ticking, random: systemRandom, rules: recordRules };
    const store = openSqliteRecord(busyMs === undefined ? place : { ...place, busyMs }, access);
    if (store !== undefined) opened.push(store);
    return store;
  }
  return {
    folder,
    path,
    clock,
    tryOpen,
    open(access = 'write', busyMs) {
      const store = tryOpen(access, busyMs);
      if (store === undefined) throw new Error('there is no record');
      return store;
    },
    remove() {
      for (const store of opened) store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
