// The record's file as a whole, in SQLite: `record backup`, `record restore` and `record salvage`. A back-up is one
// reading transaction's view, so others go on writing meanwhile. A file that is restored says nothing of its place,
// so the record begins a new laptop id.

import {
  chmodSync,
  closeSync,
  copyFileSync,
  existsSync,
  fsyncSync,
  linkSync,
  mkdirSync,
  openSync,
  renameSync,
  rmSync,
  statSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import type { BackedUp, RecordFile, Restored } from '../../../ports/record-file.ts';
import type { Mark, Pause, RecordCheck } from '../../../ports/record-store.ts';
import { Failure } from '../../../words/failure.ts';
import { hasStop } from '../../../words/finding.ts';
import { flushFolder } from '../../files/local-files.ts';
import { noPlace } from './chain-place.ts';
import { fileFailure } from './file-failure.ts';
import { migrate } from './migrate.ts';
import { openDatabase } from './open-database.ts';
import { openSqliteRecord, requireOurs, type SqliteRecordPlace, usualBusyMs } from './open-sqlite-record.ts';
import { requireBackUp } from './require-back-up.ts';
import { salvageRecord } from './salvage-record.ts';
import { recordMissing, sqliteFailure } from './sqlite-failure.ts';
import { SqliteRecord } from './sqlite-record.ts';
import { Statements } from './statements.ts';
import { makeWholeFile } from './whole-file.ts';

/** What lies beside the record under its name. */
const companions = ['-wal', '-shm', '-place', '-end'] as const;

export function sqliteRecordFile<Unit>(place: SqliteRecordPlace<Unit>): RecordFile {
  return {
    backUp: (target, pause) => backUp(place, target, pause),
    restore: (source, { setAside }, pause) => restore(place, source, setAside, pause),
    salvage: (target, further, pause) => salvageRecord(place, target, further, pause),
  };
}

async function backUp<Unit>(
  place: SqliteRecordPlace<Unit>,
  target: string,
  pause?: Pause,
): Promise<BackedUp> {
  // Opened as a record first: what is none, or newer than the tool, is refused in the usual words.
  const store = openSqliteRecord(place, 'read');
  if (store === undefined) throw recordMissing(place.path);
  store.close();
  const database = openToRead(place);
  try {
    return await makeWholeFile(target, async (unfinished) => {
      await pause?.();
      try {
        database.prepare('VACUUM INTO ?').run(unfinished);
      } catch (error) {
        throw isDamage(error) ? sqliteFailure(error, place.path) : error;
      }
      const copy = new Database(unfinished, { fileMustExist: true });
      try {
        const statements = new Statements(copy);
        statements.run('setOwn', { laptop: statements.get('own')?.laptop ?? '', place: noPlace });
        const check = await checkOf(copy, place, unfinished, pause);
        return {
          result: { bytes: statSync(unfinished).size, check },
          keep: !hasStop(check.findings),
        };
      } finally {
        copy.close();
      }
    });
  } finally {
    database.close();
  }
}

function openToRead<Unit>({ path, busyMs = usualBusyMs }: SqliteRecordPlace<Unit>): Database.Database {
  try {
    return openDatabase({ path, busyMs, ready: (opened) => requireOurs(opened, path) }, 'read').database;
  } catch (error) {
    throw sqliteFailure(error, path, 'read');
  }
}

const isDamage = (error: unknown) =>
  /^SQLITE_(CORRUPT|NOTADB|IOERR_READ|BUSY)/.test(String((error as { code?: unknown }).code));

function checkOf<Unit>(
  database: Database.Database,
  { clock, rules }: SqliteRecordPlace<Unit>,
  path: string,
  pause?: Pause,
): Promise<RecordCheck> {
  return new SqliteRecord(database, { path, laptop: '', clock, rules }).check([], undefined, pause);
}

async function restore<Unit>(
  place: SqliteRecordPlace<Unit>,
  source: string,
  mayMove: boolean,
  pause?: Pause,
): Promise<Restored | RecordCheck> {
  const { path } = place;
  requireBackUp(source);
  // A log alone counts, too: it would be played into the record that gets its name.
  const isThere = existsSync(path) || existsSync(`${path}-wal`);
  if (isThere && !mayMove) throw recordThere(path);
  const made = `${path}.${process.pid}.part`;
  try {
    await pause?.();
    const check = await readied(place, source, made, pause);
    if (hasStop(check.findings)) return check;
    flushed(made);
    const before = isThere ? endsOf(path) : undefined;
    const setAside = isThere ? moveAway(path) : undefined;
    for (const more of companions) if (more !== '-wal') rmSync(`${path}${more}`, { force: true });
    giveRecordName(made, path);
    // That it goes on under a new laptop id is the answer itself, not a notice.
    const { clock, random, rules } = place;
    const store = openSqliteRecord({ path, clock, random, rules }, 'write');
    if (store === undefined) throw recordMissing(path);
    const { laptop } = store;
    store.close();
    return { laptop, check, setAside, before };
  } catch (error) {
    throw fileFailure(sqliteFailure(error, source), path);
  } finally {
    for (const more of ['', '-wal', '-shm', '-journal']) rmSync(`${made}${more}`, { force: true });
  }
}

/** A copy of the back-up that is checked and ready to be the record; the back-up itself is only read. */
async function readied<Unit>(
  place: SqliteRecordPlace<Unit>,
  source: string,
  made: string,
  pause?: Pause,
): Promise<RecordCheck> {
  copyFileSync(source, made);
  chmodSync(made, 0o600);
  // A record that was copied as it lay, not backed up: its newest entries are still in the log beside it.
  if (existsSync(`${source}-wal`)) copyFileSync(`${source}-wal`, `${made}-wal`);
  const database = new Database(made, { fileMustExist: true, timeout: 1000 });
  try {
    migrate(database, source);
    const check = await checkOf(database, place, source, pause);
    const statements = new Statements(database);
    statements.run('setOwn', { laptop: statements.get('own')?.laptop ?? '', place: noPlace });
    return check;
  } finally {
    database.close();
  }
}

/** Into the form that others read while one writes, and onto the disk. A connection of its own: it must be alone. */
function flushed(made: string): void {
  const database = new Database(made, { fileMustExist: true });
  try {
    database.pragma('journal_mode = WAL');
    database.pragma('wal_checkpoint(TRUNCATE)');
  } finally {
    database.close();
  }
  const handle = openSync(made, 'r+');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

function giveRecordName(made: string, path: string): void {
  try {
    linkSync(made, path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') throw recordThere(path);
    renameSync(made, path);
  }
  flushFolder(dirname(path));
}

/** Into a folder of its own. The record first: one whose log alone is left is told as damaged, never begun anew. */
function moveAway(path: string): string {
  const folder = dirname(path);
  for (let number = 1; ; number++) {
    const target = join(folder, `record-before-${number}`);
    try {
      mkdirSync(target, { mode: 0o700 });
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'EEXIST' && number < 10_000) continue;
      throw error;
    }
    for (const more of ['', ...companions]) {
      if (existsSync(`${path}${more}`)) renameSync(`${path}${more}`, join(target, `record.db${more}`));
    }
    flushFolder(target);
    flushFolder(folder);
    return target;
  }
}

function endsOf(path: string): Mark[] | undefined {
  try {
    const database = new Database(path, { fileMustExist: true });
    try {
      return new Statements(database).all('marks');
    } finally {
      database.close();
    }
  } catch {
    return undefined;
  }
}

function recordThere(path: string): Failure {
  return new Failure({
    code: 'record-there',
    exit: 2,
    summary: 'There is a record in this workspace; it is not replaced.',
    where: path,
    next: 'Close slotproof everywhere, then give --set-aside: the present record is moved to a folder of its own and kept.',
  });
}
