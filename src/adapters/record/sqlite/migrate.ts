// Brings a record's tables to today's version. Safe where several programs start at once; refuses a record that
// a newer version of the tool has written.

import type Database from 'better-sqlite3';
import { Failure } from '../../../words/failure.ts';
import { migrations } from './migrations.ts';

/** FULL: a commit is on the disk when it returns. The other two are macOS, whose fsync does not flush the drive. */
export function setDurable(database: Database.Database): void {
  database.exec('PRAGMA synchronous = FULL; PRAGMA fullfsync = ON; PRAGMA checkpoint_fullfsync = ON');
}

/** Looks once without a lock, which is the usual case; then again under one, since another may be at it too. */
export function migrate(database: Database.Database, path: string): void {
  const versionOf = () => Number(database.pragma('user_version', { simple: true }));
  const newest = migrations.length;
  if (versionOf() !== newest) {
    database
      .transaction(() => {
        for (let version = versionOf(); version < newest; version++) {
          database.exec(migrations[version]!);
          database.pragma(`user_version = ${version + 1}`);
        }
      })
      .immediate();
  }
  const version = versionOf();
  if (version > newest) {
    throw new Failure({
      code: 'record-newer',
      exit: 7,
      summary: 'A newer version of slotproof has written this record.',
      seen: `record version ${version}`,
      expected: `${newest} at most`,
      where: path,
      next: 'Use the newer version of slotproof.',
    });
  }
}
