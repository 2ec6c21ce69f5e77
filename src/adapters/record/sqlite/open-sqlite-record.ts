// Opens the record's file, makes it where it is to be written and is not there, and brings an older one up to
// date. A new file appears under its name whole: tables, laptop id and all. Refuses what is no record, what is
// damaged, and what a newer version of the tool has written.

import { type Stats, statSync } from 'node:fs';
import type Database from 'better-sqlite3';
import type { Clock } from '../../../ports/clock.ts';
import type { Random } from '../../../ports/random.ts';
import type { RecordRules } from '../../../ports/record-rules.ts';
import type { RecordStore } from '../../../ports/record-store.ts';
import { Failure } from '../../../words/failure.ts';
import { newLaptopId } from './laptop-id.ts';
import { makeSqliteRecord } from './make-sqlite-record.ts';
import { migrate, setDurable } from './migrate.ts';
import { applicationId } from './migrations.ts';
import { openDatabase } from './open-database.ts';
import { laptopOf, ownLaptop } from './own-chain.ts';
import { notARecord, recordDamaged, sqliteFailure } from './sqlite-failure.ts';
import { SqliteRecord } from './sqlite-record.ts';
import { Statements } from './statements.ts';

export interface SqliteRecordPlace<Unit> {
  readonly path: string;
  readonly clock: Clock;
  readonly random: Random;
  readonly rules: RecordRules<Unit>;
  /** How long to wait for another program that writes. */
  readonly busyMs?: number;
  /** What a second thread runs that checks units (`check-units.ts`); where there is none, one thread does all. */
  readonly unitsThread?: string | undefined;
  /** Told to the person once: that the record is a copy and goes on under a new laptop id. */
  readonly say?: (line: string) => void;
}

export const usualBusyMs = 10_000;

/** undefined where there is none yet and it is only to be read. */
export function openSqliteRecord<Unit>(
  place: SqliteRecordPlace<Unit>,
  access: 'read' | 'write',
): RecordStore<Unit> | undefined {
  const { path, clock, rules, busyMs = usualBusyMs } = place;
  try {
    if (!isThere(path)) {
      if (access === 'read') return undefined;
      makeSqliteRecord(path, newLaptopId(place.random));
    }
    const ready = (opened: Database.Database) => prepareToUse(opened, path);
    const { database, readOnly } = openDatabase({ path, busyMs, ready }, access);
    try {
      const statements = new Statements(database);
      const record = new SqliteRecord(database, {
        path,
        laptop: laptopOf({ path, statements }),
        clock,
        rules,
        unitsThread: place.unitsThread,
        readOnly,
        ownLaptop: () => ownLaptop(database, { path, random: place.random, statements, say: place.say }),
      });
      if (access === 'write') record.settle();
      return record;
    } catch (error) {
      database.close();
      throw error;
    }
  } catch (error) {
    throw sqliteFailure(error, path, access);
  }
}

function isThere(path: string): boolean {
  const stats = statOf(path);
  if (stats === undefined) {
    // A write-ahead log without its database would be played into the new one.
    if ((statOf(`${path}-wal`)?.size ?? 0) > 0) {
      throw recordDamaged(path, 'the record is gone, but what was to be written to it is still there (-wal)');
    }
    return false;
  }
  if (!stats.isFile()) throw notARecord(path, stats.isDirectory() ? 'a folder' : 'not an ordinary file');
  if (stats.size === 0) throw recordDamaged(path, 'an empty file');
  return true;
}

function statOf(path: string): Stats | undefined {
  try {
    return statSync(path);
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (code === 'ENOENT') return undefined;
    throw new Failure(
      {
        code: 'record-not-opened',
        exit: 7,
        summary: 'The record cannot be opened.',
        seen: String(code),
        where: path,
        next: 'Check that the workspace is a folder that belongs to you.',
      },
      error,
    );
  }
}

/** Refuses what is not ours or newer, and brings it to today's version. */
function prepareToUse(database: Database.Database, path: string): void {
  requireOurs(database, path);
  setDurable(database);
  migrate(database, path);
}

export function requireOurs(database: Database.Database, path: string): void {
  if (database.pragma('application_id', { simple: true }) === applicationId) return;
  throw notARecord(path, 'a database of another program');
}
