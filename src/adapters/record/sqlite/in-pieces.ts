// Long work in one transaction, piece by piece, so that whoever asked for it can break it off in between: a signal is only
// heard where nothing is being done. Broken off, nothing of it is stored. What a piece is, the work says.

import type Database from 'better-sqlite3';
import type { Pause } from '../../../ports/record-store.ts';

/** Of entries or units: a tenth of a second or less. */
export const pieceLength = 1000;

/** Others may write again when it has come to its end. `deferred`: work that only reads stands in nobody's way. */
export async function inPieces<T>(
  database: Database.Database,
  work: Generator<void, T>,
  pause: Pause | undefined,
  begin: 'immediate' | 'deferred' = 'immediate',
): Promise<T> {
  database.exec(`BEGIN ${begin}`);
  try {
    for (;;) {
      if (pause !== undefined) await pause();
      const piece = work.next();
      if (piece.done !== true) continue;
      database.exec('COMMIT');
      return piece.value;
    }
  } catch (error) {
    // What it reads from is closed first: a statement that is still open would keep the transaction.
    work.return(undefined as never);
    // Where the disk is full or gone, SQLite has ended it by itself.
    if (database.inTransaction) database.exec('ROLLBACK');
    throw error;
  }
}
