// What only SQLite is asked: it has its marks written by the store, and its entries one by one.

import { DummyDriver, Kysely, SqliteAdapter, SqliteIntrospector, SqliteQueryCompiler, sql } from 'kysely';
import { value } from './named-query.ts';
import { pageLength } from './page-length.ts';
import type { RecordTables } from './record-tables.ts';
import { entryColumns, sharedQueries } from './shared-queries.ts';

interface SqliteTables extends RecordTables {
  /** Whose chain the file appends to: one row. */
  own: { one: number; laptop: string; place: string | null };
}

export function sqliteQueries() {
  const database = new Kysely<SqliteTables>({
    dialect: {
      createAdapter: () => new SqliteAdapter(),
      createDriver: () => new DummyDriver(),
      createIntrospector: (any) => new SqliteIntrospector(any),
      createQueryCompiler: () => new SqliteQueryCompiler(),
    },
  });
  const units = database
    .selectFrom('units')
    .select(['serial', 'newest_ms', 'state'])
    .where('serial', '>', value<string>('after'))
    .orderBy('serial')
    .limit(sql.lit(pageLength));
  const [product, site] = [value<string>('product'), value<string>('site')];
  return {
    ...sharedQueries(database as unknown as Kysely<RecordTables>),
    insertEntry: database
      .insertInto('entries')
      .orFail()
      .values({
        laptop: value('laptop'),
        seq: value('seq'),
        kind: value('kind'),
        serial: value('serial'),
        claimed_ms: value('claimedMs'),
        written_ms: value('writtenMs'),
        hash: value('hash'),
        text: value('text'),
      }),
    noteMark: database
      .insertInto('marks')
      .values({ laptop: value('laptop'), seq: value('seq'), hash: value('hash') })
      .onConflict((conflict) =>
        conflict
          .column('laptop')
          .doUpdateSet((eb) => ({ seq: eb.ref('excluded.seq'), hash: eb.ref('excluded.hash') })),
      ),
    hashAt: database
      .selectFrom('entries')
      .select('hash')
      .where('laptop', '=', value<string>('laptop'))
      .where('seq', '=', value<number>('seq')),
    /** What is needed to add a unit up. The order is the fold's business; this one costs nothing. */
    sealedOfUnit: database
      .selectFrom('entries')
      .select(['text', 'hash'])
      .where('serial', '=', value<string>('serial')),
    everyEntry: database.selectFrom('entries').select(entryColumns).orderBy('laptop').orderBy('seq'),
    unitsPage: units,
    unitsPageOfProduct: units.where('product', '=', product),
    unitsPageAtSite: units.where('site', '=', site),
    unitsPageOfProductAtSite: units.where('product', '=', product).where('site', '=', site),
    serialFrom: database
      .selectFrom('units')
      .select('serial')
      .where('serial', '>=', value<string>('from'))
      .orderBy('serial')
      .limit(sql.lit(1)),
    /** The first serial after one, of those with an entry or a row. */
    serialAfter: database
      .selectFrom(
        database
          .selectFrom('entries')
          .select((eb) => eb.fn.min('serial').as('serial'))
          .where('serial', '>', value<string>('after'))
          .unionAll(
            database
              .selectFrom('units')
              .select((eb) => eb.fn.min('serial').as('serial'))
              .where('serial', '>', value<string>('after')),
          )
          .as('both'),
      )
      .select((eb) => eb.fn.min('serial').as('serial')),
    /** All entries of units, unit by unit; within a unit in any order. */
    entriesByUnit: database
      .selectFrom('entries')
      .select((eb) => [sql<string>`${eb.ref('serial')}`.as('serial'), 'text', 'hash'])
      .where('serial', 'is not', null)
      .orderBy('serial'),
    /** All rows of units, in the same order. */
    everyUnit: database
      .selectFrom('units')
      .select(['serial', 'product', 'site', 'retired', 'newest_ms', 'state'])
      .orderBy('serial'),
    own: database.selectFrom('own').select(['laptop', 'place']),
    putOwn: database.insertInto('own').values({ one: sql.lit(1), laptop: value('laptop') }),
    setOwn: database.updateTable('own').set({ laptop: value('laptop'), place: value('place') }),
  };
}
