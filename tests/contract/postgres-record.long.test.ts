// The contract of a record store, on a real PostgreSQL.

import { afterAll, beforeAll } from 'vitest';
import { makeTemplate, postgresPlace } from '../support/postgres-place.ts';
import { type PostgresServer, startPostgres } from '../support/postgres-server.ts';
import { recordStoreSuite } from './record-store-suite.ts';

let server: PostgresServer;
beforeAll(async () => {
  server = await startPostgres();
  await makeTemplate(server);
});
afterAll(() => server?.remove());

recordStoreSuite('PostgreSQL', () => postgresPlace(server));
