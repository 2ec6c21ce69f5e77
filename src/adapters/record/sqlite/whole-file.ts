// A database made under another name, and given its own when it is whole: what back-ups and salvaged records share.
// Failures are the target's (exit 2, 6), not the record's.

import { closeSync, fsyncSync, openSync, statSync, unlinkSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileFailure } from '../../files/file-failure.ts';
import { flushFolder, giveNewName } from '../../files/local-files.ts';

const asDiskSays: Readonly<Record<string, string>> = {
  SQLITE_FULL: 'ENOSPC',
  SQLITE_READONLY: 'EROFS',
  SQLITE_CANTOPEN: 'EACCES',
  SQLITE_IOERR: 'EIO',
};

/** `make` fills the empty file it is given; what it returns is returned once the file has its name. */
export async function makeWholeFile<T>(
  target: string,
  make: (unfinished: string) => Promise<{ readonly result: T; readonly keep: boolean }>,
): Promise<T> {
  requireFree(target);
  const unfinished = join(dirname(target), `.${basename(target).slice(0, 80)}.${process.pid}.part`);
  try {
    closeSync(openSync(unfinished, 'wx', 0o600));
    const { result, keep } = await make(unfinished);
    if (!keep) return result;
    const handle = openSync(unfinished, 'r+');
    try {
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    giveNewName(unfinished, target);
    flushFolder(dirname(target));
    return result;
  } catch (error) {
    throw targetFailure(error, target);
  } finally {
    for (const more of ['', '-journal', '-wal', '-shm']) removeQuietly(`${unfinished}${more}`);
  }
}

/** Looked at before hours of work; that nothing is replaced is settled when the file gets its name. */
function requireFree(target: string): void {
  try {
    statSync(target);
  } catch {
    return;
  }
  throw fileFailure(Object.assign(new Error('there already'), { code: 'EEXIST' }), target, 'write');
}

/** What SQLite says of a drive that it writes to, as a file's failure. */
function targetFailure(error: unknown, target: string): unknown {
  const code = String((error as { code?: unknown } | null)?.code ?? '');
  const plain = code.split('_').slice(0, 2).join('_');
  const disk = code === 'SQLITE_IOERR_READ' ? undefined : asDiskSays[plain];
  if (disk === undefined) return fileFailure(error, target, 'write');
  return fileFailure(Object.assign(new Error((error as Error).message), { code: disk }), target, 'write');
}

function removeQuietly(path: string): void {
  try {
    unlinkSync(path);
  } catch {
    // It is gone, or was never made.
  }
}
