// Records on a throw-away server, each in a database of its own that is copied from one that was set up once, and roles
// as an administrator would make them.

import {
  openPostgresRecord,
  setUpPostgresRecord,
} from '../../src/adapters/record/postgres/open-postgres-record.ts';
import type { PostgresRecord } from '../../src/adapters/record/postgres/postgres-record.ts';
import { serverRules } from '../../src/record/server-rules.ts';
import type { UnitRecord } from '../../src/record/unit-record.ts';
import { day, newYear, utc } from './entries.ts';
import { adminPassword, type PostgresServer } from './postgres-server.ts';

export const rolePassword = 'correct-horse';
const template = 'slotproof_template';

export interface PostgresPlace {
  readonly database: string;
  readonly clock: { nowMs: number };
  url(role: string): string;
  open(role?: string, use?: 'own' | 'exchange'): Promise<PostgresRecord<UnitRecord>>;
  remove(): Promise<void>;
}

/** The database that all others are copied from. */
export async function makeTemplate(server: PostgresServer): Promise<void> {
  await server.sql('postgres', `CREATE DATABASE ${template}`);
  await setUpPostgresRecord(server.adminUrl(template), { PGPASSWORD: adminPassword });
  await server.sql(
    'postgres',
    ['desk', 'office', 'quill', 'tansy', 'looker', 'carrier']
      .map((role) => `CREATE ROLE ${role} LOGIN PASSWORD '${rolePassword}';`)
      .join(''),
  );
  await server.sql(
    template,
    `GRANT slotproof_office TO desk, office; GRANT slotproof_reader TO looker;
     SELECT slotproof.admit('desk', 'desk2222', true); SELECT slotproof.admit('desk', '*');
     SELECT slotproof.admit('carrier', '*');`,
  );
}

let count = 0;

export async function postgresPlace(server: PostgresServer): Promise<PostgresPlace> {
  count += 1;
  const database = `place_${count}`;
  await server.sql('postgres', `CREATE DATABASE ${database} TEMPLATE ${template}`);
  const clock = { nowMs: newYear + 10 * day };
  const ticking = {
    ...utc,
    now: () => {
      clock.nowMs += 1000;
      return clock.nowMs;
    },
    startOfLocalDay: (one: string) => Date.parse(`${one}T00:00:00Z`),
  };
  const opened: PostgresRecord<UnitRecord>[] = [];
  const url = (role: string) => `postgresql://${role}@127.0.0.1:${server.port}/${database}`;
  return {
    database,
    clock,
    url,
    async open(role = 'desk', use = 'own') {
      const env = { PGPASSWORD: rolePassword };
      const store = await openPostgresRecord(
        { url: url(role), env, clock: ticking, rules: serverRules },
        use,
      );
      opened.push(store);
      return store;
    },
    async remove() {
      for (const store of opened) store.close();
      await server.sql('postgres', `DROP DATABASE ${database} WITH (FORCE)`);
    },
  };
}
