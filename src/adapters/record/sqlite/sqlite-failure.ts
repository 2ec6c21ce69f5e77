// Turns what SQLite says into the tool's own words: what is wrong with the record, where it lies, one next step.
// Exit 7 throughout. What SQLite does not know is left as it is: a bug.

import { Failure, type FailureFacts } from '../../../words/failure.ts';

type Telling = Pick<FailureFacts, 'code' | 'summary' | 'next'>;

const nothingWritten = ' Nothing was written.';
const busy: Telling = {
  code: 'record-busy',
  summary: 'The record is in use by another program, and it did not become free.',
  next: `Close the other program, then run the same again; on a network drive, move the workspace to a drive of this computer.${nothingWritten}`,
};
const damaged: Telling = {
  code: 'record-damaged',
  summary: 'The record is damaged.',
  next: 'Run slotproof record salvage FILE: it changes nothing here, and writes all that can be saved to FILE.',
};
const readOnly: Telling = {
  code: 'record-read-only',
  summary: 'The record cannot be written there.',
  next: 'Take the write protection off, or choose a workspace of your own with --workspace.',
};
const full: Telling = {
  code: 'record-disk-full',
  summary: 'The drive is full: nothing was written to the record.',
  next: 'Make room, then run the same again.',
};
const notLocked: Telling = {
  code: 'record-not-locked',
  summary: 'This drive does not lock files as the record needs, as some network drives do not.',
  next: `Move the workspace to a drive of this computer.${nothingWritten}`,
};
/** Before the plain code: what a failure of one kind of call means. */
const extendedTellings: Readonly<Record<string, Telling>> = {
  // The memory that programs share could not be made larger.
  SQLITE_IOERR_SHMSIZE: full,
  SQLITE_IOERR_LOCK: notLocked,
  SQLITE_IOERR_RDLOCK: notLocked,
  SQLITE_IOERR_UNLOCK: notLocked,
  SQLITE_IOERR_SHMLOCK: notLocked,
  SQLITE_IOERR_SHMMAP: notLocked,
};
const tellings: Readonly<Record<string, Telling>> = {
  SQLITE_BUSY: busy,
  SQLITE_LOCKED: busy,
  SQLITE_PROTOCOL: busy,
  SQLITE_CORRUPT: damaged,
  SQLITE_NOTADB: {
    code: 'not-a-record',
    summary: 'This file is not a record of slotproof.',
    next: 'Move it away, or choose another workspace with --workspace.',
  },
  SQLITE_READONLY: readOnly,
  SQLITE_PERM: readOnly,
  SQLITE_AUTH: readOnly,
  SQLITE_CANTOPEN: {
    code: 'record-not-opened',
    summary: 'The record cannot be opened.',
    next: 'Check that the folder belongs to you and can be written.',
  },
  SQLITE_FULL: full,
  SQLITE_IOERR: {
    code: 'record-drive-failed',
    summary: 'The drive failed while the record was read or written.',
    next: 'Make room on the drive and check it; then run the same again.',
  },
};

/** `record-damaged` for what SQLite itself cannot see. */
export function recordDamaged(where: string, seen: string, cause?: unknown): Failure {
  return new Failure({ ...damaged, exit: 7, seen, where }, cause);
}

export function recordMissing(where: string): Failure {
  return new Failure({
    code: 'record-missing',
    exit: 2,
    summary: 'There is no record yet.',
    where,
    next: 'Check --workspace.',
  });
}

export function notARecord(where: string, seen: string): Failure {
  return new Failure({ ...tellings.SQLITE_NOTADB!, exit: 7, seen, where });
}

/** Who only reads is not told that nothing was written. */
const readTellings = new Map<Telling, Partial<Telling>>([
  [busy, { next: busy.next.replace(nothingWritten, '') }],
  [notLocked, { next: notLocked.next.replace(nothingWritten, '') }],
  [full, { summary: 'The drive is full: the record cannot be opened without some room on it.' }],
  [readOnly, { summary: 'The record cannot be opened where nothing can be written.' }],
]);

/** A Failure for an error of SQLite; anything else passes through. */
export function sqliteFailure(error: unknown, where: string, access: 'read' | 'write' = 'write'): unknown {
  const code = (error as { code?: unknown } | null)?.code;
  if (error instanceof Failure || typeof code !== 'string' || !code.startsWith('SQLITE_')) return error;
  // Extended codes begin with the plain one: SQLITE_IOERR_WRITE.
  const plain = code.split('_').slice(0, 2).join('_');
  const written = extendedTellings[code] ?? tellings[plain];
  const telling =
    written === undefined || access === 'write' ? written : { ...written, ...readTellings.get(written) };
  // A table or column of ours that is not there: somebody changed the file.
  if (plain === 'SQLITE_ERROR' && /no such (table|column)|has no column/.test((error as Error).message)) {
    return recordDamaged(where, (error as Error).message, error);
  }
  if (telling === undefined) return error;
  return new Failure({ ...telling, exit: 7, seen: `${code}: ${(error as Error).message}`, where }, error);
}
