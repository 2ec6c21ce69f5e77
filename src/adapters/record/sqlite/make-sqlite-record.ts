// Makes the record's file: under another name first, with tables, laptop id and all, then under its own, so that
// nobody ever sees half of it. Never replaces a record that is there.

import { closeSync, constants, copyFileSync, fsyncSync, linkSync, openSync, unlinkSync } from 'node:fs';
import { dirname } from 'node:path';
import Database from 'better-sqlite3';
import { fileFailure } from './file-failure.ts';
import { migrate, setDurable } from './migrate.ts';
import { applicationId } from './migrations.ts';
import { Statements } from './statements.ts';

let madeCount = 0;

/** Of several programs that start at once one gives its file the name; the others use that one. */
export function makeSqliteRecord(path: string, laptop: string): void {
  madeCount += 1;
  const unfinished = `${path}.${process.pid}.${madeCount}.part`;
  try {
    closeSync(openSync(unfinished, 'wx', 0o600));
    const database = new Database(unfinished);
    try {
      database.pragma('journal_mode = WAL');
      setDurable(database);
      database.pragma(`application_id = ${applicationId}`);
      migrate(database, path);
      new Statements(database).run('putOwn', { laptop });
    } finally {
      database.close();
    }
    giveName(unfinished, path);
  } catch (error) {
    throw fileFailure(error, path);
  } finally {
    for (const name of [unfinished, `${unfinished}-wal`, `${unfinished}-shm`]) removeQuietly(name);
  }
}

function giveName(unfinished: string, path: string): void {
  try {
    linkSync(unfinished, path);
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (code === 'EEXIST') return;
    // File systems without links (a workspace on a stick): a rename would replace a record that was just made.
    if (!copyName(unfinished, path)) return;
  }
  flushFolderOf(path);
}

/** false: another program's record has the name. */
function copyName(unfinished: string, path: string): boolean {
  try {
    copyFileSync(unfinished, path, constants.COPYFILE_EXCL);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw error;
  }
  const handle = openSync(path, 'r+');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
  return true;
}

function flushFolderOf(path: string): void {
  try {
    const folder = openSync(dirname(path), 'r');
    try {
      fsyncSync(folder);
    } finally {
      closeSync(folder);
    }
  } catch {
    // Windows opens no folder: its links are journaled.
  }
}

function removeQuietly(path: string): void {
  try {
    unlinkSync(path);
  } catch {
    // It was never made.
  }
}
