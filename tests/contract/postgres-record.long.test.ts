// The contract of a record store, on a real PostgreSQL.

import { afterAll, beforeAll, expect, test } from 'vitest';
import { chainOf, newYear } from '../support/entries.ts';
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

test('a role that only reads finds sites and serials of units that are behind their entries', async () => {
  const place = await postgresPlace(server);
  try {
    const laptop = chainOf('quill222');
    const unit = { product: 'rill-40', hardware: 'B', details: {} };
    laptop.add('unit-added', { ...unit, serial: 'A1', site: 'Alder Farm' }, newYear);
    laptop.add('unit-added', { ...unit, serial: 'B1', site: 'Birch Yard' }, newYear);
    // Brought by somebody who may not write units: nothing is added up, and no row is there yet.
    await (await place.open('carrier', 'exchange')).takeIn(laptop.stored);
    expect(await server.sql(place.database, 'SELECT * FROM slotproof.units')).toEqual([]);
    const texts = ['', 'A1', 'A2', 'B2'];
    const found = [
      ['A1', 'A1', 'B1', null],
      ['Alder Farm', 'Birch Yard'],
    ];
    const looker = await place.open('looker');
    expect([await looker.serialsFrom(texts), await looker.sites()]).toEqual(found);
    // The office adds up; then one unit moves, and its row is behind.
    const office = await place.open('office');
    expect([await office.serialsFrom(texts), await office.sites()]).toEqual(found);
    expect(await server.sql(place.database, 'SELECT serial FROM slotproof.stale_units')).toEqual([]);
    laptop.add('unit-moved', { serial: 'B1', site: 'Mill Acre', from: 'Birch Yard' }, newYear + 1);
    await (await place.open('carrier', 'exchange')).takeIn(laptop.stored.slice(2));
    expect(await looker.sites()).toContain('Mill Acre');
    expect(await office.sites()).toEqual(['Alder Farm', 'Mill Acre']);
  } finally {
    await place.remove();
  }
});
