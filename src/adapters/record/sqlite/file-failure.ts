// An error of the file system, while the record's own files are made or moved, is the record's: exit 7.

import { sqliteFailure } from './sqlite-failure.ts';

const kinds: Readonly<Record<string, string>> = {
  ENOSPC: 'SQLITE_FULL',
  EDQUOT: 'SQLITE_FULL',
  EFBIG: 'SQLITE_FULL',
  EROFS: 'SQLITE_READONLY',
  EACCES: 'SQLITE_READONLY',
  EPERM: 'SQLITE_READONLY',
  EIO: 'SQLITE_IOERR',
};

export function fileFailure(error: unknown, path: string): unknown {
  const code = (error as NodeJS.ErrnoException | null)?.code ?? '';
  if (!/^E[A-Z0-9]+$/.test(code)) return error;
  const kind = kinds[code] ?? 'SQLITE_CANTOPEN';
  return sqliteFailure(Object.assign(new Error(String((error as Error).message)), { code: kind }), path);
}
