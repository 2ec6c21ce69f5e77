// Opens the record on a server: signs in, looks whether it is set up and of today's version, and what this role may do.
// Makes and changes no tables; that is an administrator's `--set-up`.

import type { Clock } from '../../../ports/clock.ts';
import type { RoleRights } from '../../../ports/office-server.ts';
import type { RecordRules } from '../../../ports/record-rules.ts';
import { Connection, signIn } from './connection.ts';
import { requireSetUp, setUp } from './migrate.ts';
import { postgresFailure } from './postgres-failure.ts';
import { PostgresRecord } from './postgres-record.ts';
import { type Environment, requireServerAddress } from './server-url.ts';

export interface PostgresRecordPlace<Unit> {
  /** As typed; a password in it is refused. */
  readonly url: string;
  readonly env: Environment;
  readonly clock: Clock;
  readonly rules: RecordRules<Unit>;
}

export async function openPostgresRecord<Unit>(
  place: PostgresRecordPlace<Unit>,
  use: 'own' | 'exchange',
): Promise<PostgresRecord<Unit>> {
  const { env, clock, rules } = place;
  const address = requireServerAddress(place.url, env);
  const where = address.shown;
  const client = await signIn(address, env);
  const connection = new Connection(client, where);
  try {
    const { server } = await requireSetUp(client, where);
    const rights = await rightsOf(connection);
    return new PostgresRecord(connection, { where, server, rights, use, clock, rules });
  } catch (error) {
    connection.close();
    throw postgresFailure(error, where);
  }
}

async function rightsOf(connection: Connection): Promise<RoleRights> {
  const [self, writers] = [await connection.get('self'), await connection.all('writers')];
  return {
    role: self?.role ?? '',
    direct: writers.find(({ direct }) => direct)?.laptop,
    brings: writers.filter(({ direct }) => !direct).map(({ laptop }) => laptop),
    addsUpUnits: self?.adds_up_units === true,
  };
}

/** For an administrator: makes the tables and the groups of roles, or brings them to today's version. */
export async function setUpPostgresRecord(
  url: string,
  env: Environment,
): Promise<{ readonly where: string; readonly changed: boolean }> {
  const address = requireServerAddress(url, env);
  const client = await signIn(address, env);
  try {
    return { where: address.shown, ...(await setUp(client, address.shown)) };
  } catch (error) {
    throw postgresFailure(error, address.shown);
  } finally {
    await client.end().catch(() => {});
  }
}
