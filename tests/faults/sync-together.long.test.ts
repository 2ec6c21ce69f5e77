// Laptops and offices at one server at the same time, and a laptop that stops in the middle: every entry is there once in
// the end, every chain whole, every unit what its entries add up to.

import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { signIn } from '../../src/adapters/record/postgres/connection.ts';
import { queryTexts } from '../../src/adapters/record/postgres/query-texts.ts';
import { requireServerAddress } from '../../src/adapters/record/postgres/server-url.ts';
import { type OfficeLaptop, officeLaptop, requireInStep } from '../support/office-world.ts';
import { makeTemplate, type PostgresPlace, postgresPlace, rolePassword } from '../support/postgres-place.ts';
import { type PostgresServer, startPostgres } from '../support/postgres-server.ts';

let server: PostgresServer;
beforeAll(async () => {
  server = await startPostgres();
  await makeTemplate(server);
});
afterAll(() => server?.remove());

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

const inStep = (entries: number) => requireInStep(laptops, place, entries);

test('a laptop that stops in the middle of a transaction holds its chain for half a minute, no longer', async () => {
  const [quill, tansy] = laptops as [OfficeLaptop, OfficeLaptop];
  await quill.write(50);
  await quill.sync(place.url('quill'));
  await quill.write(50);
  const env = { PGPASSWORD: rolePassword };
  const stopped = await signIn(requireServerAddress(place.url('quill'), env), env);
  await stopped.query('BEGIN');
  await stopped.query(queryTexts.holdChains.sql, [[quill.id]]);
  // Begun again by somebody in front of the laptop, while the server still holds the chain for what has stopped.
  expect(await quill.sync(place.url('quill'))).toMatchObject({ exit: 0, json: { sent: 50 } });
  await expect(stopped.query('COMMIT')).rejects.toThrow();
  await tansy.sync(place.url('tansy'));
  await inStep(100);
});

test('offices read, and bring units up to date, while laptops bring entries of the same units', async () => {
  const [quill, tansy] = laptops as [OfficeLaptop, OfficeLaptop];
  let isOver = false;
  const looks = ['office', 'office', 'desk', 'looker'].map(async (role) => {
    let count = 0;
    while (!isOver || count === 0) {
      const { exit, stdout } = await quill.cli('units', 'list', '--record', place.url(role));
      expect(exit, stdout).toBe(0);
      count += 1;
    }
    return count;
  });
  for (let round = 0; round < 12; round++) {
    await Promise.all([quill.write(50), tansy.write(50)]);
    const told = await Promise.all([quill.sync(place.url('quill')), tansy.sync(place.url('tansy'))]);
    expect(told.map(({ exit, stdout }) => (exit === 0 ? 'done' : stdout))).toEqual(['done', 'done']);
  }
  isOver = true;
  expect(Math.min(...(await Promise.all(looks)))).toBeGreaterThan(1);
  await quill.sync(place.url('quill'));
  await tansy.sync(place.url('tansy'));
  await inStep(1200);
  for (const role of ['office', 'looker']) {
    const there = await quill.cli('units', 'list', '--record', place.url(role));
    expect(there.json.units).toEqual((await quill.cli('units', 'list')).json.units);
  }
  expect(await server.sql(place.database, 'SELECT * FROM slotproof.stale_units')).toEqual([]);
});

test('two laptops at once, and two that bring the same entries at once', async () => {
  const [quill, tansy] = laptops as [OfficeLaptop, OfficeLaptop];
  let entries = 0;
  for (let round = 0; round < 4; round++) {
    await Promise.all([quill.write(900), tansy.write(700)]);
    entries += 1600;
    const told = await Promise.all([quill.sync(place.url('quill')), tansy.sync(place.url('tansy'))]);
    expect(told.map(({ exit, stdout }) => (exit === 0 ? 'done' : stdout))).toEqual(['done', 'done']);
  }
  await quill.sync(place.url('quill'));
  await tansy.sync(place.url('tansy'));
  await inStep(entries);
  // Each with all entries of both, to a server that has none of them.
  const other = await postgresPlace(server);
  try {
    const url = other.url('carrier');
    const told = await Promise.all([quill.sync(url), tansy.sync(url), quill.sync(url), tansy.sync(url)]);
    expect(told.map(({ exit, stdout }) => (exit === 0 ? 'done' : stdout))).toEqual(Array(4).fill('done'));
    expect(await quill.cli('record', 'check', '--record', other.url('office'))).toMatchObject({
      exit: 0,
      json: { entries },
    });
  } finally {
    await other.remove();
  }
});
