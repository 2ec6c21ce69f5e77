// Opens the record's database. To be read it is also opened where SQLite's usual way takes more than the drive gives: on a
// full one alone and without the memory that programs share, which takes room; where nothing can be written at all, as
// it lies, read into memory. Never so where entries may be missing then: a log that was not yet written into the file is
// told, not passed over. What was opened so is never written to.

import { closeSync, openSync, readFileSync, type Stats, statSync, unlinkSync } from 'node:fs';
import { dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { Failure } from '../../../words/failure.ts';
import { formatBytes } from '../../../words/size.ts';
import { sqliteFailure } from './sqlite-failure.ts';

export interface DatabasePlace {
  readonly path: string;
  readonly busyMs: number;
  /** The first look into it: throws where it cannot be used. */
  readonly ready: (database: Database.Database) => void;
}

export interface OpenedDatabase {
  readonly database: Database.Database;
  /** Why nothing can be written to it; undefined where it can. */
  readonly readOnly: Failure | undefined;
}

/** As much is held in memory twice. */
const maxInMemoryBytes = 1 << 30;

export function openDatabase(place: DatabasePlace, access: 'read' | 'write'): OpenedDatabase {
  const { path, busyMs, ready } = place;
  const usual = () => new Database(path, { fileMustExist: true, timeout: busyMs });
  try {
    return { database: opened(usual, ready), readOnly: undefined };
  } catch (error) {
    const readOnly = sqliteFailure(error, path);
    if (access === 'write' || !(readOnly instanceof Failure)) throw error;
    const alone = () => {
      const database = usual();
      database.pragma('locking_mode = EXCLUSIVE');
      return database;
    };
    if (isWritable(dirname(path))) {
      if (readOnly.facts.code !== 'record-disk-full') throw error;
      return { database: opened(alone, ready), readOnly };
    }
    if (!isOfRights(error) || statSync(path).size > maxInMemoryBytes) throw error;
    return { database: opened(() => inMemory(path), ready), readOnly };
  }
}

function opened(open: () => Database.Database, ready: DatabasePlace['ready']): Database.Database {
  const database = open();
  try {
    ready(database);
    return database;
  } catch (error) {
    database.close();
    throw error;
  }
}

/** Not damage, nor a drive that cannot be read: that is no better in memory. */
function isOfRights(error: unknown): boolean {
  const code = String((error as { code?: unknown } | null)?.code);
  return /^SQLITE_(CANTOPEN|READONLY|PERM|FULL|IOERR_SHM)/.test(code);
}

/** Tried, not asked: Windows answers for the folder's attribute alone, whatever the drive's switch says. */
function isWritable(folder: string): boolean {
  const trial = join(folder, `.record-trial.${process.pid}`);
  try {
    closeSync(openSync(trial, 'wx', 0o600));
    unlinkSync(trial);
    return true;
  } catch (error) {
    return !['EROFS', 'EACCES', 'EPERM'].includes(String((error as NodeJS.ErrnoException).code));
  }
}

/**
 * The file as it lies. Whoever writes to it from elsewhere, over a network, has a log beside it; that none came and the
 * file did not change while it was read is looked at again afterwards.
 */
function inMemory(path: string): Database.Database {
  requireNoLog(path);
  const before = statSync(path);
  const bytes = readFileSync(path);
  requireNoLog(path);
  if (!isSame(before, statSync(path))) throw changing(path);
  // Read and write version (SQLite file format, 1.3.3): memory has no log of its own, so not 2.
  if (bytes[18] === 2) bytes[18] = 1;
  if (bytes[19] === 2) bytes[19] = 1;
  return new Database(bytes, { readonly: true });
}

function isSame(a: Stats, b: Stats): boolean {
  return a.size === b.size && a.mtimeMs === b.mtimeMs && a.ino === b.ino;
}

function requireNoLog(path: string): void {
  for (const log of [`${path}-wal`, `${path}-journal`]) {
    const bytes = statSync(log, { throwIfNoEntry: false })?.size ?? 0;
    if (bytes === 0) continue;
    throw new Failure({
      code: 'record-log-unread',
      exit: 7,
      summary:
        'The newest entries of the record lie in a log beside it, which cannot be read where nothing can be written.',
      seen: `${formatBytes(bytes)} bytes of log`,
      where: log,
      next: 'Copy the whole workspace folder to a drive that can be written, and name the copy with --workspace.',
    });
  }
}

function changing(path: string): Failure {
  return new Failure({
    code: 'record-busy',
    exit: 7,
    summary: 'The record is being written from elsewhere while it is read here.',
    where: path,
    next: 'Run the same again when the other program is done.',
  });
}
