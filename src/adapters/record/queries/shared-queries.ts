// What is asked in the same words on every engine. One definition each; compiled into `query-texts.ts` beside each
// store by `node build-queries.js`, and never loaded when the tool runs.

import { type Kysely, sql } from 'kysely';
import { value } from './named-query.ts';
import { pageLength } from './page-length.ts';
import type { RecordTables } from './record-tables.ts';

export type RecordDatabase = Kysely<RecordTables>;

const onePage = sql.lit(pageLength);

export const entryColumns = [
  'laptop',
  'seq',
  'kind',
  'serial',
  'claimed_ms as claimedMs',
  'written_ms as writtenMs',
  'hash',
  'text',
] as const;

const text = (name: string) => value<string>(name);
const number = (name: string) => value<number>(name);

function claimedPage(database: RecordDatabase, column: 'serial' | 'kind') {
  return database
    .selectFrom('entries')
    .select(entryColumns)
    .where(column, '=', text('value'))
    .where('claimed_ms', '<', number('before'))
    .where((eb) =>
      eb(
        eb.refTuple('claimed_ms', 'written_ms', 'laptop', 'seq'),
        '>',
        eb.tuple(number('claimedMs'), number('writtenMs'), text('laptop'), number('seq')),
      ),
    )
    .orderBy('claimed_ms')
    .orderBy('written_ms')
    .orderBy('laptop')
    .orderBy('seq')
    .limit(onePage);
}

const countOf = (database: RecordDatabase, table: keyof RecordTables) =>
  database.selectFrom(table).select((eb) => eb.fn.countAll<number>().as('count'));

export function sharedQueries(database: RecordDatabase) {
  return {
    entryAt: database
      .selectFrom('entries')
      .select(entryColumns)
      .where('laptop', '=', text('laptop'))
      .where('seq', '=', number('seq')),
    chainPage: database
      .selectFrom('entries')
      .select(entryColumns)
      .where('laptop', '=', text('laptop'))
      .where('seq', '>=', number('fromSeq'))
      .where('seq', '<=', number('toSeq'))
      .orderBy('seq')
      .limit(onePage),
    serialPage: claimedPage(database, 'serial'),
    kindPage: claimedPage(database, 'kind'),
    chainLast: database
      .selectFrom('entries')
      .select(['seq', 'hash'])
      .where('laptop', '=', text('laptop'))
      .orderBy('seq', 'desc')
      .limit(sql.lit(1)),
    markOf: database.selectFrom('marks').select(['seq', 'hash']).where('laptop', '=', text('laptop')),
    marks: database.selectFrom('marks').select(['laptop', 'seq', 'hash']).orderBy('laptop'),
    countEntries: countOf(database, 'entries'),
    countUnits: countOf(database, 'units'),
    countMarks: countOf(database, 'marks'),
    unitState: database.selectFrom('units').select('state').where('serial', '=', text('serial')),
    /** Every site with a unit, found by leaps along the index. */
    sites: database
      .withRecursive('found', (db) =>
        db
          .selectFrom('units')
          .select((eb) => sql<string>`${eb.fn.min('site')}`.as('site'))
          .unionAll(
            db
              .selectFrom('found')
              .select((eb) =>
                eb
                  .selectFrom('units')
                  .select((inner) => sql<string>`${inner.fn.min('units.site')}`.as('site'))
                  .whereRef('units.site', '>', 'found.site')
                  .$asScalar()
                  .as('site'),
              )
              .where('site', 'is not', null),
          ),
      )
      .selectFrom('found')
      .select(sql<string>`site`.as('site'))
      .where('site', 'is not', null)
      .orderBy('site'),
    storedUnit: database
      .selectFrom('units')
      .select(['serial', 'product', 'site', 'retired', 'newest_ms', 'state'])
      .where('serial', '=', text('serial')),
    putUnit: database
      .insertInto('units')
      .values({
        serial: text('serial'),
        product: text('product'),
        site: text('site'),
        retired: number('retired'),
        newest_ms: number('newest_ms'),
        state: text('state'),
      })
      .onConflict((conflict) =>
        conflict.column('serial').doUpdateSet((eb) => ({
          product: eb.ref('excluded.product'),
          site: eb.ref('excluded.site'),
          retired: eb.ref('excluded.retired'),
          newest_ms: eb.ref('excluded.newest_ms'),
          state: eb.ref('excluded.state'),
        })),
      ),
    removeUnit: database.deleteFrom('units').where('serial', '=', text('serial')),
    removeUnits: database.deleteFrom('units'),
  };
}
