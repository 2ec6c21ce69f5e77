// Five laptops that write, pack, take in, break off, and sync with an office's server over lines that are cut: in the end
// the server and all of them hold the same entries, and these add up to what the judge makes of them.

import fc from 'fast-check';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openPostgresRecord } from '../../src/adapters/record/postgres/open-postgres-record.ts';
import { run as sync } from '../../src/commands/record-sync.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import { Failure } from '../../src/words/failure.ts';
import { type CuttingProxy, cuttingProxy } from '../support/cutting-proxy.ts';
import { crewSize, histories, judgeCrew, type Office, playHistory } from '../support/exchange-history.ts';
import { makeTemplate, type PostgresPlace, postgresPlace, rolePassword } from '../support/postgres-place.ts';
import { type PostgresServer, startPostgres } from '../support/postgres-server.ts';
import { checkSeeded } from '../support/seeded.ts';
import { testClock } from '../support/test-clock.ts';

let server: PostgresServer;
let proxy: CuttingProxy;
beforeAll(async () => {
  server = await startPostgres();
  await makeTemplate(server);
  proxy = await cuttingProxy(server.port);
  for (let at = 0; at < crewSize; at++)
    await server.sql('postgres', `CREATE ROLE crew_${at} LOGIN PASSWORD '${rolePassword}'`);
});
afterAll(async () => {
  await proxy?.close();
  await server?.remove();
});

/** Each laptop with a user that may bring its own chain alone. */
function officeAt(place: PostgresPlace, counts: { whole: number; broken: number }): Office {
  const admitted = new Set<number>();
  const env = { PGPASSWORD: rolePassword };
  return {
    async sync(laptop, context, cutAfter) {
      const { laptop: id } = await context.record('write');
      if (!admitted.has(laptop)) {
        await server.sql(place.database, `SELECT slotproof.admit('crew_${laptop}', '${id}')`);
        admitted.add(laptop);
      }
      const url = place.url(`crew_${laptop}`).replace(`:${server.port}/`, `:${proxy.port}/`);
      // All but the last try are cut, so it may or may not get through.
      proxy.cutAfter(...(cutAfter === null ? [] : [cutAfter, cutAfter * 2]));
      const open = (_: string, use: 'own' | 'exchange') =>
        openPostgresRecord({ url, env, clock: testClock, rules: recordRules }, use);
      const office = async () => ({ ...(await context.office()), open });
      const { workspace, files, terminal, stop } = context;
      const record = context.record.bind(context);
      try {
        const told = await sync({ ...context, workspace, files, terminal, stop, record, office }, [url], {});
        if (told.exit !== 0) throw new Error(`refused: ${JSON.stringify(told.json)}`);
        counts.whole += 1;
      } catch (error) {
        if (cutAfter === null || !(error instanceof Failure) || error.facts.exit !== 7) throw error;
        counts.broken += 1;
      } finally {
        proxy.cutAfter();
      }
    },
    record: () => place.open('office'),
  };
}

test('all end with the same as the server', async () => {
  const counts = { whole: 0, broken: 0 };
  let entries = 0;
  await checkSeeded(
    'tests/property/exchange-office.long.test.ts',
    8,
    fc.asyncProperty(histories(70, true), async (history) => {
      const place = await postgresPlace(server);
      try {
        const played = await playHistory(history, officeAt(place, counts));
        expect(played.held).toHaveLength(crewSize + 1);
        entries += played.written.length;
        judgeCrew(played);
      } finally {
        await place.remove();
      }
    }),
  );
  expect(entries).toBeGreaterThan(100);
  expect(counts.whole).toBeGreaterThan(40);
});
