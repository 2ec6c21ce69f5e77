// Made by build-queries.js from ../queries: not to be changed here.

import type { NamedQuery, RowsOf } from '../queries/named-query.ts';
import type { postgresQueries } from '../queries/postgres-queries.ts';

export type QueryRows = RowsOf<ReturnType<typeof postgresQueries>>;

export const queryTexts: Readonly<Record<keyof QueryRows, NamedQuery>> = {
  entryAt: {
    sql: 'select "laptop", "seq", "kind", "serial", "claimed_ms" as "claimedMs", "written_ms" as "writtenMs", "hash", "text" from "slotproof"."entries" where "laptop" = $1 and "seq" = $2',
    names: ['laptop', 'seq'],
  },
  chainPage: {
    sql: 'select "laptop", "seq", "kind", "serial", "claimed_ms" as "claimedMs", "written_ms" as "writtenMs", "hash", "text" from "slotproof"."entries" where "laptop" = $1 and "seq" >= $2 and "seq" <= $3 order by "seq" limit 500',
    names: ['laptop', 'fromSeq', 'toSeq'],
  },
  serialPage: {
    sql: 'select "laptop", "seq", "kind", "serial", "claimed_ms" as "claimedMs", "written_ms" as "writtenMs", "hash", "text" from "slotproof"."entries" where "serial" = $1 and "claimed_ms" < $2 and ("claimed_ms", "written_ms", "laptop", "seq") > ($3, $4, $5, $6) order by "claimed_ms", "written_ms", "laptop", "seq" limit 500',
    names: ['value', 'before', 'claimedMs', 'writtenMs', 'laptop', 'seq'],
  },
  kindPage: {
    sql: 'select "laptop", "seq", "kind", "serial", "claimed_ms" as "claimedMs", "written_ms" as "writtenMs", "hash", "text" from "slotproof"."entries" where "kind" = $1 and "claimed_ms" < $2 and ("claimed_ms", "written_ms", "laptop", "seq") > ($3, $4, $5, $6) order by "claimed_ms", "written_ms", "laptop", "seq" limit 500',
    names: ['value', 'before', 'claimedMs', 'writtenMs', 'laptop', 'seq'],
  },
  chainLast: {
    sql: 'select "seq", "hash" from "slotproof"."entries" where "laptop" = $1 order by "seq" desc limit 1',
    names: ['laptop'],
  },
  markOf: { sql: 'select "seq", "hash" from "slotproof"."marks" where "laptop" = $1', names: ['laptop'] },
  marks: { sql: 'select "laptop", "seq", "hash" from "slotproof"."marks" order by "laptop"', names: [] },
  countEntries: { sql: 'select count(*) as "count" from "slotproof"."entries"', names: [] },
  countUnits: { sql: 'select count(*) as "count" from "slotproof"."units"', names: [] },
  countMarks: { sql: 'select count(*) as "count" from "slotproof"."marks"', names: [] },
  unitState: { sql: 'select "state" from "slotproof"."units" where "serial" = $1', names: ['serial'] },
  sites: {
    sql: 'with recursive "found" as (select min("site") as "site" from "slotproof"."units" union all select (select min("slotproof"."units"."site") as "site" from "slotproof"."units" where "slotproof"."units"."site" > "found"."site") as "site" from "found" where "site" is not null) select site as "site" from "found" where "site" is not null order by "site"',
    names: [],
  },
  storedUnit: {
    sql: 'select "serial", "product", "site", "retired", "newest_ms", "state" from "slotproof"."units" where "serial" = $1',
    names: ['serial'],
  },
  putUnit: {
    sql: 'insert into "slotproof"."units" ("serial", "product", "site", "retired", "newest_ms", "state") values ($1, $2, $3, $4, $5, $6) on conflict ("serial") do update set "product" = "excluded"."product", "site" = "excluded"."site", "retired" = "excluded"."retired", "newest_ms" = "excluded"."newest_ms", "state" = "excluded"."state"',
    names: ['serial', 'product', 'site', 'retired', 'newest_ms', 'state'],
  },
  removeUnit: { sql: 'delete from "slotproof"."units" where "serial" = $1', names: ['serial'] },
  removeUnits: { sql: 'delete from "slotproof"."units"', names: [] },
  about: { sql: 'select "version", "server" from "slotproof"."about"', names: [] },
  writers: {
    sql: 'select "laptop", "direct" from "slotproof"."writers" where "role_name" = session_user order by "laptop"',
    names: [],
  },
  insertEntries: {
    sql: 'insert into "slotproof"."entries" ("laptop", "seq", "kind", "serial", "claimed_ms", "written_ms", "hash", "text") select "laptop", "seq", "kind", "serial", "claimed_ms", "written_ms", "hash", "text" from unnest($1::text[], $2::bigint[], $3::text[], $4::text[], $5::bigint[], $6::bigint[], $7::text[], $8::text[]) as given (laptop, seq, kind, serial, claimed_ms, written_ms, hash, text)',
    names: ['laptops', 'seqs', 'kinds', 'serials', 'claimed', 'written', 'hashes', 'texts'],
  },
  hashesAt: {
    sql: 'select "seq", "hash" from "slotproof"."entries" where "laptop" = $1 and seq = any($2::bigint[])',
    names: ['laptop', 'seqs'],
  },
  unitStateOrStale: {
    sql: 'select "slotproof"."units"."state", "slotproof"."stale_units"."serial" as "stale" from (select $1::text) as asked (serial) left join "slotproof"."units" on "slotproof"."units"."serial" = "asked"."serial" left join "slotproof"."stale_units" on "slotproof"."stale_units"."serial" = "asked"."serial"',
    names: ['serial'],
  },
  unitsPage: {
    sql: 'select "serial", "newest_ms", "state" from (select "serial", newest_ms as "newest_ms", state as "state" from (select "serial", "newest_ms", "state" from "slotproof"."units" where "serial" > $1 and not exists (select "serial" from "slotproof"."stale_units" where "slotproof"."stale_units"."serial" = "slotproof"."units"."serial") order by "serial" limit 500) as "sound" union all select "serial", "newest_ms", "state" from (select "serial", null::bigint as "newest_ms", null::text as "state" from "slotproof"."stale_units" where "serial" > $2 order by "serial" limit 500) as "stale") as "both" order by "serial" limit 500',
    names: ['after', 'after'],
  },
  unitsPageOfProduct: {
    sql: 'select "serial", "newest_ms", "state" from (select "serial", newest_ms as "newest_ms", state as "state" from (select "serial", "newest_ms", "state" from "slotproof"."units" where "serial" > $1 and not exists (select "serial" from "slotproof"."stale_units" where "slotproof"."stale_units"."serial" = "slotproof"."units"."serial") and "product" = $2 order by "serial" limit 500) as "sound" union all select "serial", "newest_ms", "state" from (select "serial", null::bigint as "newest_ms", null::text as "state" from "slotproof"."stale_units" where "serial" > $3 order by "serial" limit 500) as "stale") as "both" order by "serial" limit 500',
    names: ['after', 'product', 'after'],
  },
  unitsPageAtSite: {
    sql: 'select "serial", "newest_ms", "state" from (select "serial", newest_ms as "newest_ms", state as "state" from (select "serial", "newest_ms", "state" from "slotproof"."units" where "serial" > $1 and not exists (select "serial" from "slotproof"."stale_units" where "slotproof"."stale_units"."serial" = "slotproof"."units"."serial") and "site" = $2 order by "serial" limit 500) as "sound" union all select "serial", "newest_ms", "state" from (select "serial", null::bigint as "newest_ms", null::text as "state" from "slotproof"."stale_units" where "serial" > $3 order by "serial" limit 500) as "stale") as "both" order by "serial" limit 500',
    names: ['after', 'site', 'after'],
  },
  unitsPageOfProductAtSite: {
    sql: 'select "serial", "newest_ms", "state" from (select "serial", newest_ms as "newest_ms", state as "state" from (select "serial", "newest_ms", "state" from "slotproof"."units" where "serial" > $1 and not exists (select "serial" from "slotproof"."stale_units" where "slotproof"."stale_units"."serial" = "slotproof"."units"."serial") and "product" = $2 and "site" = $3 order by "serial" limit 500) as "sound" union all select "serial", "newest_ms", "state" from (select "serial", null::bigint as "newest_ms", null::text as "state" from "slotproof"."stale_units" where "serial" > $4 order by "serial" limit 500) as "stale") as "both" order by "serial" limit 500',
    names: ['after', 'product', 'site', 'after'],
  },
  entriesOfUnits: {
    sql: 'select "laptop", "seq", "kind", "serial", "claimed_ms" as "claimedMs", "written_ms" as "writtenMs", "hash", "text" from "slotproof"."entries" where serial = any($1::text[]) order by "serial", "claimed_ms", "written_ms", "laptop", "seq"',
    names: ['serials'],
  },
  storedUnits: {
    sql: 'select "serial", "product", "site", "retired", "newest_ms", "state" from "slotproof"."units" where serial = any($1::text[])',
    names: ['serials'],
  },
  putUnits: {
    sql: 'insert into "slotproof"."units" ("serial", "product", "site", "retired", "newest_ms", "state") select "serial", "product", "site", "retired", "newest_ms", "state" from unnest($1::text[], $2::text[], $3::text[], $4::smallint[], $5::bigint[], $6::text[]) as given (serial, product, site, retired, newest_ms, state) on conflict ("serial") do update set "product" = "excluded"."product", "site" = "excluded"."site", "retired" = "excluded"."retired", "newest_ms" = "excluded"."newest_ms", "state" = "excluded"."state"',
    names: ['serials', 'products', 'sites', 'retired', 'newest', 'states'],
  },
  removeUnitsGiven: {
    sql: 'delete from "slotproof"."units" where serial = any($1::text[])',
    names: ['serials'],
  },
  serials: { sql: 'select "serial" from "slotproof"."units" order by "serial"', names: [] },
  serialsFrom: {
    sql: 'select least((select min("slotproof"."units"."serial") as "serial" from "slotproof"."units" where "slotproof"."units"."serial" >= asked.text collate "C"), (select min("slotproof"."stale_units"."serial") as "serial" from "slotproof"."stale_units" where "slotproof"."stale_units"."serial" >= asked.text collate "C")) as "serial" from unnest($1::text[]) with ordinality as asked (text, place) order by asked.place',
    names: ['texts'],
  },
  staleSerials: { sql: 'select "serial" from "slotproof"."stale_units" order by "serial"', names: [] },
  holdChains: {
    sql: 'select "laptop", "seq", "hash" from slotproof.hold_chains($1::text[]) as held',
    names: ['laptops'],
  },
  takeStale: {
    sql: 'delete from "slotproof"."stale_units" where "serial" in (select "serial" from "slotproof"."stale_units" order by "serial" limit 500 for update skip locked) returning "serial"',
    names: [],
  },
  dropStale: {
    sql: 'delete from "slotproof"."stale_units" where serial = any($1::text[])',
    names: ['serials'],
  },
  serialsAfter: {
    sql: 'select "serial" from (select "serial" from (select serial as "serial" from "slotproof"."entries" where "serial" > $1 group by "serial" order by "serial" limit 500) as "of_entries" union select "serial" from (select "serial" from "slotproof"."units" where "serial" > $2 order by "serial" limit 500) as "of_units") as "both" order by "serial" limit 500',
    names: ['after', 'after'],
  },
  laptops: {
    sql: 'with recursive "chains" as (select min("laptop") as "laptop" from "slotproof"."entries" union all select (select min("slotproof"."entries"."laptop") as "laptop" from "slotproof"."entries" where "slotproof"."entries"."laptop" > "chains"."laptop") as "laptop" from "chains" where "chains"."laptop" is not null) select laptop as "laptop" from "chains" where "laptop" is not null order by "laptop"',
    names: [],
  },
  guards: {
    sql: 'select tgname::text as "name" from "pg_catalog"."pg_trigger" where "tgrelid" = \'slotproof.entries\'::regclass and "tgenabled" in (\'O\', \'A\')',
    names: [],
  },
  rowSecurity: {
    sql: 'select "relrowsecurity" as "on" from "pg_catalog"."pg_class" where "oid" = \'slotproof.entries\'::regclass',
    names: [],
  },
  policies: {
    sql: 'select policyname::text as "name", with_check as "check" from "pg_catalog"."pg_policies" where "schemaname" = \'slotproof\' and "tablename" = \'entries\' order by "name"',
    names: [],
  },
  excessRights: {
    sql: "select \"role\", \"relation\", \"right\" from (\n          select roles.rolname::text as role, tables.relname::text as relation, rights.name as right\n          from pg_catalog.pg_roles as roles\n          cross join pg_catalog.pg_class as tables\n          cross join (values ('INSERT'), ('UPDATE'), ('DELETE'), ('TRUNCATE'), ('TRIGGER')) as rights (name)\n          where tables.relnamespace = 'slotproof'::regnamespace and tables.relkind in ('r', 'p')\n            and not roles.rolsuper and not pg_catalog.pg_has_role(roles.oid, tables.relowner, 'MEMBER')\n            and case when rights.name in ('INSERT', 'UPDATE')\n              then pg_catalog.has_any_column_privilege(roles.oid, tables.oid, rights.name)\n              else pg_catalog.has_table_privilege(roles.oid, tables.oid, rights.name) end\n            and not (tables.relname = 'entries' and rights.name = 'INSERT'\n              and pg_catalog.pg_has_role(roles.oid, 'slotproof_laptop', 'MEMBER'))\n            and not (tables.relname = 'units' and rights.name in ('INSERT', 'UPDATE', 'DELETE')\n              and pg_catalog.pg_has_role(roles.oid, 'slotproof_office', 'MEMBER'))\n            and not (tables.relname = 'stale_units' and rights.name in ('UPDATE', 'DELETE')\n              and pg_catalog.pg_has_role(roles.oid, 'slotproof_office', 'MEMBER'))\n            and roles.rolname !~ '^pg_'\n        ) as excess order by \"role\", \"relation\", \"right\" limit 100",
    names: [],
  },
  self: {
    sql: "select session_user::text as \"role\", pg_catalog.current_setting('is_superuser') = 'on' as \"is_superuser\", pg_catalog.pg_has_role(session_user, relowner, 'MEMBER') as \"is_owner\", pg_catalog.has_table_privilege('slotproof.stale_units', 'DELETE')\n          and pg_catalog.has_table_privilege('slotproof.units', 'INSERT')\n          and pg_catalog.has_table_privilege('slotproof.units', 'UPDATE')\n          and pg_catalog.has_table_privilege('slotproof.units', 'DELETE')\n          and not pg_catalog.pg_is_in_recovery() as \"adds_up_units\" from \"pg_catalog\".\"pg_class\" where \"oid\" = 'slotproof.entries'::regclass",
    names: [],
  },
};
