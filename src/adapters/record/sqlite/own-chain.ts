// Whose chain this file appends to. A record that was copied, restored, or put back to an earlier state begins a new
// laptop id before anything is written, so that two machines never append to one chain. What is there stays as it is.

import type Database from 'better-sqlite3';
import type { Random } from '../../../ports/random.ts';
import { forgetEnd, markPlace, notedEnd, placeHere } from './chain-place.ts';
import { fileFailure } from './file-failure.ts';
import { newLaptopId } from './laptop-id.ts';
import { recordDamaged } from './sqlite-failure.ts';
import type { Statements } from './statements.ts';

export interface OwnChainParts {
  readonly path: string;
  readonly random: Random;
  readonly statements: Statements;
  /** Told to the person once, when a new id begins. */
  readonly say?: ((line: string) => void) | undefined;
}

/** As the file says, whether or not it is a copy: enough to read. */
export function laptopOf({ path, statements }: Pick<OwnChainParts, 'path' | 'statements'>): string {
  const laptop = statements.get('own')?.laptop;
  if (typeof laptop !== 'string') throw recordDamaged(path, 'it does not say whose chain it is');
  return laptop;
}

/** The laptop id to append under. */
export function ownLaptop(database: Database.Database, parts: OwnChainParts): string {
  // The usual case, without a lock; then again under one, since another program may be at it too.
  const usual = laptopOf(parts);
  if (isAtHome(parts, usual)) return usual;
  return database.transaction(() => settle(parts)).immediate();
}

function isAtHome({ path, statements }: OwnChainParts, laptop: string): boolean {
  const place = statements.get('own')?.place;
  return (
    place !== null &&
    place !== undefined &&
    place === placeHere(path, laptop) &&
    !isBehind(statements, path, laptop)
  );
}

/** Whether more was written here under this id than the record holds, or something else. */
function isBehind(statements: Statements, path: string, laptop: string): boolean {
  const noted = notedEnd(path);
  if (noted?.laptop !== laptop) return false;
  return statements.get('hashAt', { laptop, seq: noted.seq })?.hash !== noted.hash;
}

function settle(parts: OwnChainParts): string {
  const { path, statements } = parts;
  const before = laptopOf(parts);
  if (isAtHome(parts, before)) return before;
  // No place yet: just made, or made before places were noted.
  if (statements.get('own')?.place === null && !isBehind(statements, path, before)) {
    statements.run('setOwn', { laptop: before, place: mark(path, before) });
    return before;
  }
  const laptop = newLaptopId(parts.random);
  const noted = isBehind(statements, path, before) ? notedEnd(path) : undefined;
  const last = statements.get('chainLast', { laptop: before })?.seq ?? 0;
  statements.run('setOwn', { laptop, place: mark(path, laptop) });
  forgetEnd(path);
  parts.say?.(
    noted !== undefined && noted.seq > last
      ? `This record was put back to an earlier state: the entries ${before}-${last + 1} to ${noted.seq} are not in it. It goes on under a new laptop id, ${laptop}.`
      : `This record is a copy: it goes on under a new laptop id, ${laptop}. What is in it stays under ${before}.`,
  );
  return laptop;
}

function mark(path: string, laptop: string): string {
  try {
    return markPlace(path, laptop);
  } catch (error) {
    throw fileFailure(error, path);
  }
}
