// What only PostgreSQL is asked: many rows in one statement, since each statement is a journey; and the list of units
// whose rows are behind their entries. Marks are the server's own work there.

import {
  DummyDriver,
  Kysely,
  PostgresAdapter,
  PostgresIntrospector,
  PostgresQueryCompiler,
  type SqlBool,
  sql,
} from 'kysely';
import { guardQueries } from './guard-queries.ts';
import { value } from './named-query.ts';
import { pageLength } from './page-length.ts';
import type { RecordTables } from './record-tables.ts';
import { entryColumns, sharedQueries } from './shared-queries.ts';

interface PostgresTables extends RecordTables {
  about: { one: number; version: number; server: string };
  /** Units whose row is not what their entries add up to: entries came from somebody who may not write units. */
  stale_units: { serial: string };
  /** Which role may add to which chain. */
  writers: { role_name: string; laptop: string; direct: boolean };
}

const lists = (...names: [name: string, type: string][]) =>
  sql.join(names.map(([name, type]) => sql`${value(name)}::${sql.raw(type)}[]`));
const serialsGiven = sql<SqlBool>`serial = any(${value('serials')}::text[])`;
const onePage = sql.lit(pageLength);

export function postgresQueries() {
  const database = new Kysely<PostgresTables>({
    dialect: {
      createAdapter: () => new PostgresAdapter(),
      createDriver: () => new DummyDriver(),
      createIntrospector: (any) => new PostgresIntrospector(any),
      createQueryCompiler: () => new PostgresQueryCompiler(),
    },
  }).withSchema('slotproof');
  const [product, site, after] = [value<string>('product'), value<string>('site'), value<string>('after')];

  const sound = database
    .selectFrom('units')
    .select(['serial', 'newest_ms', 'state'])
    .where('serial', '>', after)
    .where((eb) =>
      eb.not(
        eb.exists(
          eb.selectFrom('stale_units').select('serial').whereRef('stale_units.serial', '=', 'units.serial'),
        ),
      ),
    )
    .orderBy('serial')
    .limit(onePage);
  const stale = database
    .selectFrom('stale_units')
    .select(['serial', sql<null>`null::bigint`.as('newest_ms'), sql<null>`null::text`.as('state')])
    .where('serial', '>', after)
    .orderBy('serial')
    .limit(onePage);
  /** Rows that are behind come without a state: they are added up by whoever reads them. */
  const unitsPage = (units: typeof sound) =>
    database
      .selectFrom(
        database
          .selectFrom(units.as('sound'))
          .select([
            'serial',
            sql<number | null>`newest_ms`.as('newest_ms'),
            sql<string | null>`state`.as('state'),
          ])
          .unionAll(database.selectFrom(stale.as('stale')).select(['serial', 'newest_ms', 'state']))
          .as('both'),
      )
      .select(['serial', 'newest_ms', 'state'])
      .orderBy('serial')
      .limit(onePage);

  return {
    ...sharedQueries(database as unknown as Kysely<RecordTables>),
    about: database.selectFrom('about').select(['version', 'server']),
    writers: database
      .selectFrom('writers')
      .select(['laptop', 'direct'])
      .where('role_name', '=', sql<string>`session_user`)
      .orderBy('laptop'),
    insertEntries: database
      .insertInto('entries')
      .columns(['laptop', 'seq', 'kind', 'serial', 'claimed_ms', 'written_ms', 'hash', 'text'])
      .expression(
        database
          .selectFrom(
            sql<RecordTables['entries']>`unnest(${lists(
              ['laptops', 'text'],
              ['seqs', 'bigint'],
              ['kinds', 'text'],
              ['serials', 'text'],
              ['claimed', 'bigint'],
              ['written', 'bigint'],
              ['hashes', 'text'],
              ['texts', 'text'],
            )})`.as<'given'>(sql`given (laptop, seq, kind, serial, claimed_ms, written_ms, hash, text)`),
          )
          .select(['laptop', 'seq', 'kind', 'serial', 'claimed_ms', 'written_ms', 'hash', 'text']),
      ),
    hashesAt: database
      .selectFrom('entries')
      .select(['seq', 'hash'])
      .where('laptop', '=', value<string>('laptop'))
      .where(sql<SqlBool>`seq = any(${value('seqs')}::bigint[])`),
    unitStateOrStale: database
      .selectFrom(sql<{ serial: string }>`(select ${value('serial')}::text)`.as<'asked'>(sql`asked (serial)`))
      .leftJoin('units', 'units.serial', 'asked.serial')
      .leftJoin('stale_units', 'stale_units.serial', 'asked.serial')
      .select(['units.state', 'stale_units.serial as stale']),
    unitsPage: unitsPage(sound),
    unitsPageOfProduct: unitsPage(sound.where('product', '=', product)),
    unitsPageAtSite: unitsPage(sound.where('site', '=', site)),
    unitsPageOfProductAtSite: unitsPage(sound.where('product', '=', product).where('site', '=', site)),
    entriesOfUnits: database
      .selectFrom('entries')
      .select(entryColumns)
      .where(serialsGiven)
      .orderBy('serial')
      .orderBy('claimed_ms')
      .orderBy('written_ms')
      .orderBy('laptop')
      .orderBy('seq'),
    storedUnits: database
      .selectFrom('units')
      .select(['serial', 'product', 'site', 'retired', 'newest_ms', 'state'])
      .where(serialsGiven),
    putUnits: database
      .insertInto('units')
      .columns(['serial', 'product', 'site', 'retired', 'newest_ms', 'state'])
      .expression(
        database
          .selectFrom(
            sql<RecordTables['units']>`unnest(${lists(
              ['serials', 'text'],
              ['products', 'text'],
              ['sites', 'text'],
              ['retired', 'smallint'],
              ['newest', 'bigint'],
              ['states', 'text'],
            )})`.as<'given'>(sql`given (serial, product, site, retired, newest_ms, state)`),
          )
          .select(['serial', 'product', 'site', 'retired', 'newest_ms', 'state']),
      )
      .onConflict((conflict) =>
        conflict.column('serial').doUpdateSet((eb) => ({
          product: eb.ref('excluded.product'),
          site: eb.ref('excluded.site'),
          retired: eb.ref('excluded.retired'),
          newest_ms: eb.ref('excluded.newest_ms'),
          state: eb.ref('excluded.state'),
        })),
      ),
    removeUnitsGiven: database.deleteFrom('units').where(serialsGiven),
    serials: database.selectFrom('units').select('serial').orderBy('serial'),
    /** In the order of the texts. What is behind its entries is found as well, registered or not. */
    serialsFrom: database
      .selectFrom(
        sql<{ text: string; place: number }>`unnest(${value('texts')}::text[]) with ordinality`.as<'asked'>(
          sql`asked (text, place)`,
        ),
      )
      .select((eb) => [
        sql<string | null>`least(${eb
          .selectFrom('units')
          .select((inner) => inner.fn.min('units.serial').as('serial'))
          .where('units.serial', '>=', sql<string>`asked.text collate "C"`)}, ${eb
          .selectFrom('stale_units')
          .select((inner) => inner.fn.min('stale_units.serial').as('serial'))
          .where('stale_units.serial', '>=', sql<string>`asked.text collate "C"`)})`.as('serial'),
      ])
      .orderBy(sql`asked.place`),
    staleSerials: database.selectFrom('stale_units').select('serial').orderBy('serial'),
    holdChains: database
      .selectFrom(
        sql<RecordTables['marks']>`slotproof.hold_chains(${value('laptops')}::text[])`.as<'held'>(sql`held`),
      )
      .select(['laptop', 'seq', 'hash']),
    /** Some that are behind, locked: who adds entries to them in the meantime waits. */
    takeStale: database
      .deleteFrom('stale_units')
      .where('serial', 'in', (eb) =>
        eb
          .selectFrom('stale_units')
          .select('serial')
          .orderBy('serial')
          .limit(onePage)
          .forUpdate()
          .skipLocked(),
      )
      .returning('serial'),
    dropStale: database.deleteFrom('stale_units').where(serialsGiven),
    /** Serials after one, of those with an entry or a row. */
    serialsAfter: database
      .selectFrom(
        database
          .selectFrom(
            database
              .selectFrom('entries')
              .select(sql<string>`serial`.as('serial'))
              .where('serial', '>', after)
              .groupBy('serial')
              .orderBy('serial')
              .limit(onePage)
              .as('of_entries'),
          )
          .select('serial')
          .union(
            database
              .selectFrom(
                database
                  .selectFrom('units')
                  .select('serial')
                  .where('serial', '>', after)
                  .orderBy('serial')
                  .limit(onePage)
                  .as('of_units'),
              )
              .select('serial'),
          )
          .as('both'),
      )
      .select('serial')
      .orderBy('serial')
      .limit(onePage),
    /** Every laptop with an entry, found by leaps along the index. */
    laptops: database
      .withRecursive('chains', (db) =>
        db
          .selectFrom('entries')
          .select((eb) => sql<string>`${eb.fn.min('laptop')}`.as('laptop'))
          .unionAll(
            db
              .selectFrom('chains')
              .select((eb) =>
                eb
                  .selectFrom('entries')
                  .select((inner) => sql<string>`${inner.fn.min('entries.laptop')}`.as('laptop'))
                  .whereRef('entries.laptop', '>', 'chains.laptop')
                  .$asScalar()
                  .as('laptop'),
              )
              .where('chains.laptop', 'is not', null),
          ),
      )
      .selectFrom('chains')
      .select(sql<string>`laptop`.as('laptop'))
      .where('laptop', 'is not', null)
      .orderBy('laptop'),
    ...guardQueries(),
  };
}
