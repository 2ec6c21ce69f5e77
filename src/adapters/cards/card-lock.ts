// One writer a card at a time, whichever workspace it works for. What is locked is a small database file of the
// user's own, by the operating system's locks as SQLite takes them: they end with the process, however it ends, so
// nothing has to be tidied up and no dead writer keeps anybody out. The file itself stays, empty.

import { lstatSync, mkdirSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir, userInfo } from 'node:os';
import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { Failure } from '../../words/failure.ts';
import { fileFailure } from '../files/file-failure.ts';

/** Others may write to the system's folder for temporary files: what lies there under our name must be ours. */
function lockFolder(): string {
  const { uid, username } = userInfo();
  const folder = join(tmpdir(), `slotproof-writers-${uid >= 0 ? uid : username.replaceAll(/\W/g, '_')}`);
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const stat = lstatSync(folder);
    if (stat.isDirectory() && (uid < 0 || (stat.uid === uid && (stat.mode & 0o022) === 0))) return folder;
  } catch (error) {
    throw fileFailure(error, folder, 'write');
  }
  throw new Failure({
    code: 'lock-folder-foreign',
    exit: 5,
    summary: 'Whether somebody else is writing to this card cannot be made sure of.',
    seen: 'a folder of somebody else, or open to others',
    expected: "a folder of the user's own",
    where: folder,
    next: 'Have it removed, or set TMPDIR to a folder of your own; then run the same command again.',
  });
}

/** Held until it is called. Failure exit 5 where another writer holds it. `device`: what tells this card from others. */
export function lockCard(device: string, path: string): () => void {
  const require = createRequire(import.meta.url);
  const Sqlite = require('better-sqlite3') as typeof Database;
  const file = join(lockFolder(), `${device.replaceAll(/\W/g, '-')}.lock`);
  let lock: Database.Database | undefined;
  try {
    lock = new Sqlite(file, { timeout: 0 });
    lock.exec('BEGIN EXCLUSIVE');
  } catch (error) {
    lock?.close();
    const code = String((error as { code?: unknown }).code);
    if (!code.startsWith('SQLITE_BUSY')) throw noLock(file, code, error);
    throw new Failure(
      {
        code: 'card-in-use',
        exit: 5,
        summary: 'Another slotproof is writing to this card at this moment. The card was not changed.',
        where: path,
        next: 'Let it finish, then run the same command again.',
      },
      error,
    );
  }
  const held = lock;
  return () => held.close();
}

/** The folder is full, or cannot be written to: without the lock nothing is written to a card. */
function noLock(file: string, code: string, error: unknown): Failure {
  return new Failure(
    {
      code: 'lock-failed',
      exit: 6,
      summary: 'The note that this card is being written to cannot be made. The card was not changed.',
      seen: code,
      where: file,
      next: 'Make room there, or set TMPDIR to a folder of your own; then run the same command again.',
    },
    error,
  );
}
