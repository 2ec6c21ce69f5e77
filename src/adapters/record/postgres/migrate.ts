// Sets the office record up, or brings its tables to today's version: run by an administrator, never by the way. Safe
// where several do it at once. Opening only looks, and refuses what is newer, older or not there.

import type { Client } from 'pg';
import { Failure } from '../../../words/failure.ts';
import { migrations, oldestServer } from './migrations.ts';
import { notSetUp, serverTooOld } from './postgres-failure.ts';

/** "slpf": held while the tables are changed. */
const lockKey = 0x736c7066;

export interface About {
  readonly version: number;
  /** The same after it was moved or restored. */
  readonly server: string;
}

/** All of it as one text, for an administrator who runs it by hand. */
export function setUpText(): string {
  const steps = migrations.map((text, at) => `${text}\n  UPDATE slotproof.about SET version = ${at + 1};\n`);
  return `BEGIN;\n${steps.join('\n')}COMMIT;`;
}

/** undefined where it is not set up. */
async function aboutOf(client: Client): Promise<About | undefined> {
  const there = await client.query("SELECT to_regclass('slotproof.about') IS NOT NULL AS there");
  if (there.rows[0]?.there !== true) return undefined;
  const { rows } = await client.query('SELECT version, server FROM slotproof.about');
  return rows[0] as About | undefined;
}

/** Whether anything was to be done. */
export async function setUp(client: Client, where: string): Promise<{ readonly changed: boolean }> {
  const version = Number((await client.query('SHOW server_version_num')).rows[0]?.server_version_num);
  if (version < oldestServer) throw serverTooOld(where, version);
  await client.query('BEGIN');
  try {
    await client.query('SELECT pg_advisory_xact_lock($1)', [lockKey]);
    const before = (await aboutOf(client))?.version ?? 0;
    refuseNewer(before, where);
    for (let at = before; at < migrations.length; at++) {
      await client.query(migrations[at]!);
      await client.query('UPDATE slotproof.about SET version = $1', [at + 1]);
    }
    await client.query('COMMIT');
    return { changed: before < migrations.length };
  } catch (error) {
    await client.query('ROLLBACK').catch(() => {});
    throw error;
  }
}

export async function requireSetUp(client: Client, where: string): Promise<About> {
  const about = await aboutOf(client);
  if (about === undefined) throw notSetUp(where);
  refuseNewer(about.version, where);
  if (about.version < migrations.length) {
    throw new Failure({
      code: 'server-older',
      exit: 7,
      summary: 'The record on the server is of an older version than this slotproof.',
      seen: `record version ${about.version}`,
      expected: String(migrations.length),
      where,
      next: 'Let its administrator run: slotproof record sync URL --set-up',
    });
  }
  return about;
}

function refuseNewer(version: number, where: string): void {
  if (version <= migrations.length) return;
  throw new Failure({
    code: 'record-newer',
    exit: 7,
    summary: 'A newer version of slotproof has set up this record.',
    seen: `record version ${version}`,
    expected: `${migrations.length} at most`,
    where,
    next: 'Use the newer version of slotproof.',
  });
}
