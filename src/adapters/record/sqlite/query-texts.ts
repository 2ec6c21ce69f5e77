// Made by build-queries.js from ../queries: not to be changed here.

import type { NamedQuery, RowsOf } from '../queries/named-query.ts';
import type { sqliteQueries } from '../queries/sqlite-queries.ts';

export type QueryRows = RowsOf<ReturnType<typeof sqliteQueries>>;

export const queryTexts: Readonly<Record<keyof QueryRows, NamedQuery>> = {
  entryAt: {
    sql: 'select "laptop", "seq", "kind", "serial", "claimed_ms" as "claimedMs", "written_ms" as "writtenMs", "hash", "text" from "entries" where "laptop" = ? and "seq" = ?',
    names: ['laptop', 'seq'],
  },
  chainPage: {
    sql: 'select "laptop", "seq", "kind", "serial", "claimed_ms" as "claimedMs", "written_ms" as "writtenMs", "hash", "text" from "entries" where "laptop" = ? and "seq" >= ? and "seq" <= ? order by "seq" limit 500',
    names: ['laptop', 'fromSeq', 'toSeq'],
  },
  serialPage: {
    sql: 'select "laptop", "seq", "kind", "serial", "claimed_ms" as "claimedMs", "written_ms" as "writtenMs", "hash", "text" from "entries" where "serial" = ? and "claimed_ms" < ? and ("claimed_ms", "written_ms", "laptop", "seq") > (?, ?, ?, ?) order by "claimed_ms", "written_ms", "laptop", "seq" limit 500',
    names: ['value', 'before', 'claimedMs', 'writtenMs', 'laptop', 'seq'],
  },
  kindPage: {
    sql: 'select "laptop", "seq", "kind", "serial", "claimed_ms" as "claimedMs", "written_ms" as "writtenMs", "hash", "text" from "entries" where "kind" = ? and "claimed_ms" < ? and ("claimed_ms", "written_ms", "laptop", "seq") > (?, ?, ?, ?) order by "claimed_ms", "written_ms", "laptop", "seq" limit 500',
    names: ['value', 'before', 'claimedMs', 'writtenMs', 'laptop', 'seq'],
  },
  chainLast: {
    sql: 'select "seq", "hash" from "entries" where "laptop" = ? order by "seq" desc limit 1',
    names: ['laptop'],
  },
  markOf: { sql: 'select "seq", "hash" from "marks" where "laptop" = ?', names: ['laptop'] },
  marks: { sql: 'select "laptop", "seq", "hash" from "marks" order by "laptop"', names: [] },
  countEntries: { sql: 'select count(*) as "count" from "entries"', names: [] },
  countUnits: { sql: 'select count(*) as "count" from "units"', names: [] },
  countMarks: { sql: 'select count(*) as "count" from "marks"', names: [] },
  unitState: { sql: 'select "state" from "units" where "serial" = ?', names: ['serial'] },
  sites: {
    sql: 'with recursive "found" as (select min("site") as "site" from "units" union all select (select min("units"."site") as "site" from "units" where "units"."site" > "found"."site") as "site" from "found" where "site" is not null) select site as "site" from "found" where "site" is not null order by "site"',
    names: [],
  },
  storedUnit: {
    sql: 'select "serial", "product", "site", "retired", "newest_ms", "state" from "units" where "serial" = ?',
    names: ['serial'],
  },
  putUnit: {
    sql: 'insert into "units" ("serial", "product", "site", "retired", "newest_ms", "state") values (?, ?, ?, ?, ?, ?) on conflict ("serial") do update set "product" = "excluded"."product", "site" = "excluded"."site", "retired" = "excluded"."retired", "newest_ms" = "excluded"."newest_ms", "state" = "excluded"."state"',
    names: ['serial', 'product', 'site', 'retired', 'newest_ms', 'state'],
  },
  removeUnit: { sql: 'delete from "units" where "serial" = ?', names: ['serial'] },
  removeUnits: { sql: 'delete from "units"', names: [] },
  insertEntry: {
    sql: 'insert or fail into "entries" ("laptop", "seq", "kind", "serial", "claimed_ms", "written_ms", "hash", "text") values (?, ?, ?, ?, ?, ?, ?, ?)',
    names: ['laptop', 'seq', 'kind', 'serial', 'claimedMs', 'writtenMs', 'hash', 'text'],
  },
  noteMark: {
    sql: 'insert into "marks" ("laptop", "seq", "hash") values (?, ?, ?) on conflict ("laptop") do update set "seq" = "excluded"."seq", "hash" = "excluded"."hash"',
    names: ['laptop', 'seq', 'hash'],
  },
  hashAt: { sql: 'select "hash" from "entries" where "laptop" = ? and "seq" = ?', names: ['laptop', 'seq'] },
  sealedOfUnit: { sql: 'select "text", "hash" from "entries" where "serial" = ?', names: ['serial'] },
  everyEntry: {
    sql: 'select "laptop", "seq", "kind", "serial", "claimed_ms" as "claimedMs", "written_ms" as "writtenMs", "hash", "text" from "entries" order by "laptop", "seq"',
    names: [],
  },
  unitsPage: {
    sql: 'select "serial", "newest_ms", "state" from "units" where "serial" > ? order by "serial" limit 500',
    names: ['after'],
  },
  unitsPageOfProduct: {
    sql: 'select "serial", "newest_ms", "state" from "units" where "serial" > ? and "product" = ? order by "serial" limit 500',
    names: ['after', 'product'],
  },
  unitsPageAtSite: {
    sql: 'select "serial", "newest_ms", "state" from "units" where "serial" > ? and "site" = ? order by "serial" limit 500',
    names: ['after', 'site'],
  },
  unitsPageOfProductAtSite: {
    sql: 'select "serial", "newest_ms", "state" from "units" where "serial" > ? and "product" = ? and "site" = ? order by "serial" limit 500',
    names: ['after', 'product', 'site'],
  },
  serialFrom: {
    sql: 'select "serial" from "units" where "serial" >= ? order by "serial" limit 1',
    names: ['from'],
  },
  serialAfter: {
    sql: 'select min("serial") as "serial" from (select min("serial") as "serial" from "entries" where "serial" > ? union all select min("serial") as "serial" from "units" where "serial" > ?) as "both"',
    names: ['after', 'after'],
  },
  entriesByUnit: {
    sql: 'select "serial" as "serial", "text", "hash" from "entries" where "serial" is not null order by "serial"',
    names: [],
  },
  everyUnit: {
    sql: 'select "serial", "product", "site", "retired", "newest_ms", "state" from "units" order by "serial"',
    names: [],
  },
  own: { sql: 'select "laptop", "place" from "own"', names: [] },
  putOwn: { sql: 'insert into "own" ("one", "laptop") values (1, ?)', names: ['laptop'] },
  setOwn: { sql: 'update "own" set "laptop" = ?, "place" = ?', names: ['laptop', 'place'] },
};
