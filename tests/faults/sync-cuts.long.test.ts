// The way to the server breaks off at every kind of place, and the server is killed in the middle: every entry is there once in the end, every chain whole, every unit what its entries add up to.

import { cpSync } from 'node:fs';
import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { type CuttingProxy, cuttingProxy } from '../support/cutting-proxy.ts';
import { type OfficeLaptop, officeLaptop, requireInStep } from '../support/office-world.ts';
import { makeTemplate, type PostgresPlace, postgresPlace } from '../support/postgres-place.ts';
import { type PostgresServer, startPostgres } from '../support/postgres-server.ts';

let server: PostgresServer;
let proxy: CuttingProxy;
beforeAll(async () => {
  server = await startPostgres();
  await makeTemplate(server);
  proxy = await cuttingProxy(server.port);
});
afterAll(async () => {
  await proxy?.close();
  await server?.remove();
});

let place: PostgresPlace;
let laptops: OfficeLaptop[];
beforeEach(async () => {
  place = await postgresPlace(server);
  laptops = [await officeLaptop(server, place, 'quill'), await officeLaptop(server, place, 'tansy')];
});
afterEach(async () => {
  for (const { workspace } of laptops) workspace.remove();
  await place.remove();
});

const through = (role: string) => place.url(role).replace(`:${server.port}/`, `:${proxy.port}/`);

const inStep = (entries: number) => requireInStep(laptops, place, entries);

test('a connection that is cut after any number of bytes is opened again, and the sync goes on', async () => {
  const seed = Number(process.env.CUT_SEED ?? Date.now() % 1_000_000);
  const [quill, tansy] = laptops as [OfficeLaptop, OfficeLaptop];
  await quill.write(1150);
  await tansy.write(850);
  expect((await tansy.sync(place.url('tansy'))).exit).toBe(0);
  const before = `${quill.workspace.path}/before.db`;
  cpSync(quill.workspace.record, before);
  const whole = place;
  proxy.cutAfter();
  // How much a sync carries, in another database.
  place = await postgresPlace(server);
  try {
    await server.sql(place.database, `SELECT slotproof.admit('quill', '${quill.id}')`);
    expect(await quill.sync(through('quill'))).toMatchObject({ exit: 0, json: { sent: 1150, fetched: 0 } });
  } finally {
    await place.remove();
    place = whole;
  }
  const total = proxy.carried();
  expect(total).toBeGreaterThan(300_000);
  let random = seed;
  const chance = () => {
    random = (random * 1_103_515_245 + 12_345) % 2_147_483_648;
    return random / 2_147_483_648;
  };
  // The first bytes are the signing in; the rest is spread over the whole.
  const places = [
    0,
    1,
    60,
    400,
    900,
    ...Array.from({ length: 14 }, () => Math.floor(chance() * total * 1.6)),
  ];
  for (const [round, bytes] of places.entries()) {
    const say = `CUT_SEED=${seed} npx vitest run --project long tests/faults/sync-cuts (round ${round}: ${bytes} bytes)`;
    // The laptop as it was, and the server without its entries: it has them to send and the other's to fetch.
    for (const end of ['-wal', '-shm'])
      cpSync('/dev/null', `${quill.workspace.record}${end}`, { force: true });
    cpSync(before, quill.workspace.record);
    await server.sql(
      place.database,
      `ALTER TABLE slotproof.entries DISABLE TRIGGER USER; DELETE FROM slotproof.entries WHERE laptop = '${quill.id}';
       ALTER TABLE slotproof.entries ENABLE TRIGGER USER; DELETE FROM slotproof.marks WHERE laptop = '${quill.id}';
       INSERT INTO slotproof.stale_units SELECT serial FROM slotproof.units ON CONFLICT DO NOTHING`,
    );
    proxy.cutAfter(bytes);
    const told = await quill.sync(through('quill'));
    expect(told, say).toMatchObject({ exit: 0 });
    expect(told.json.marks, say).toHaveLength(2);
  }
  await tansy.sync(place.url('tansy'));
  await inStep(2000);
});

test('where every connection is cut, it says so; what was acknowledged counts, and the rest follows later', async () => {
  const [quill, tansy] = laptops as [OfficeLaptop, OfficeLaptop];
  await quill.write(2500);
  proxy.cutAfter(...Array.from({ length: 200 }, () => 120_000));
  // Less than one batch at first, then less is sent at a time; since something moves, it never gives up.
  expect(await quill.sync(through('quill'))).toMatchObject({ exit: 0, json: { sent: 2500 } });
  await quill.write(100);
  for (const bytes of [0, 300, 2500]) {
    proxy.cutAfter(...Array.from({ length: 20 }, () => bytes));
    expect(await quill.sync(through('quill')), String(bytes)).toMatchObject({
      exit: 7,
      json: { error: { code: 'server-connection-lost' } },
    });
  }
  proxy.cutAfter();
  expect(await quill.sync(through('quill'))).toMatchObject({ exit: 0, json: { sent: 100 } });
  await tansy.sync(place.url('tansy'));
  await inStep(2600);
});

test('a server that is killed in the middle and started again', async () => {
  const [quill, tansy] = laptops as [OfficeLaptop, OfficeLaptop];
  await quill.write(12_000);
  const running = quill.sync(place.url('quill'));
  for (;;) {
    const [row] = await server.sql(
      place.database,
      'SELECT coalesce(sum(seq), 0)::int AS there FROM slotproof.marks',
    );
    if (row.there > 0) break;
    await wait(5);
  }
  await server.kill();
  await server.start();
  const told = await running;
  if (told.exit !== 0) {
    // The machine was too busy for the server to be back in time.
    expect(told).toMatchObject({ exit: 7 });
    expect(['server-connection-lost', 'server-unreachable']).toContain(told.json.error.code);
    expect(told.json.error.sent).toBeGreaterThan(0);
  }
  expect((await quill.sync(place.url('quill'))).exit).toBe(0);
  expect(await tansy.sync(place.url('tansy'))).toMatchObject({ exit: 0, json: { fetched: 12_000 } });
  await inStep(12_000);
});
