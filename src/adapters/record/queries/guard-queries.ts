// What the office server is asked about its own guards: triggers, policies, and who may do what with the record's tables.
// Of PostgreSQL's catalogue, so there is no sibling for SQLite.

import {
  DummyDriver,
  Kysely,
  PostgresAdapter,
  PostgresIntrospector,
  PostgresQueryCompiler,
  sql,
} from 'kysely';

interface Catalogue {
  pg_trigger: { tgname: string; tgenabled: string; tgrelid: number };
  pg_class: { oid: number; relrowsecurity: boolean };
  pg_policies: { schemaname: string; tablename: string; policyname: string };
}

const entriesTable = sql<number>`'slotproof.entries'::regclass`;

export function guardQueries() {
  const catalogue = new Kysely<Catalogue>({
    dialect: {
      createAdapter: () => new PostgresAdapter(),
      createDriver: () => new DummyDriver(),
      createIntrospector: (any) => new PostgresIntrospector(any),
      createQueryCompiler: () => new PostgresQueryCompiler(),
    },
  }).withSchema('pg_catalog');
  return {
    guards: catalogue
      .selectFrom('pg_trigger')
      .select(sql<string>`tgname::text`.as('name'))
      .where('tgrelid', '=', entriesTable)
      .where('tgenabled', 'in', [sql.lit('O'), sql.lit('A')]),
    rowSecurity: catalogue
      .selectFrom('pg_class')
      .select('relrowsecurity as on')
      .where('oid', '=', entriesTable),
    policies: catalogue
      .selectFrom('pg_policies')
      .select([sql<string>`policyname::text`.as('name'), sql<string | null>`with_check`.as('check')])
      .where('schemaname', '=', sql.lit('slotproof'))
      .where('tablename', '=', sql.lit('entries'))
      .orderBy('name'),
    /**
     * Rights beyond those that are meant: none but the office writes units, none but laptops add entries, and nobody
     * changes what is the server's. The owner and superusers are left out: they set the guards.
     */
    excessRights: catalogue
      .selectFrom(
        sql<{ role: string; relation: string; right: string }>`(
          select roles.rolname::text as role, tables.relname::text as relation, rights.name as right
          from pg_catalog.pg_roles as roles
          cross join pg_catalog.pg_class as tables
          cross join (values ('INSERT'), ('UPDATE'), ('DELETE'), ('TRUNCATE'), ('TRIGGER')) as rights (name)
          where tables.relnamespace = 'slotproof'::regnamespace and tables.relkind in ('r', 'p')
            and not roles.rolsuper and not pg_catalog.pg_has_role(roles.oid, tables.relowner, 'MEMBER')
            and case when rights.name in ('INSERT', 'UPDATE')
              then pg_catalog.has_any_column_privilege(roles.oid, tables.oid, rights.name)
              else pg_catalog.has_table_privilege(roles.oid, tables.oid, rights.name) end
            and not (tables.relname = 'entries' and rights.name = 'INSERT'
              and pg_catalog.pg_has_role(roles.oid, 'slotproof_laptop', 'MEMBER'))
            and not (tables.relname = 'units' and rights.name in ('INSERT', 'UPDATE', 'DELETE')
              and pg_catalog.pg_has_role(roles.oid, 'slotproof_office', 'MEMBER'))
            and not (tables.relname = 'stale_units' and rights.name in ('UPDATE', 'DELETE')
              and pg_catalog.pg_has_role(roles.oid, 'slotproof_office', 'MEMBER'))
            and roles.rolname !~ '^pg_'
        )`.as<'excess'>(sql`excess`),
      )
      .select(['role', 'relation', 'right'])
      .orderBy('role')
      .orderBy('relation')
      .orderBy('right')
      .limit(sql.lit(100)),
    self: catalogue
      .selectFrom('pg_class')
      .select([
        sql<string>`session_user::text`.as('role'),
        sql<boolean>`pg_catalog.current_setting('is_superuser') = 'on'`.as('is_superuser'),
        sql<boolean>`pg_catalog.pg_has_role(session_user, relowner, 'MEMBER')`.as('is_owner'),
        sql<boolean>`pg_catalog.has_table_privilege('slotproof.stale_units', 'DELETE')
          and pg_catalog.has_table_privilege('slotproof.units', 'INSERT')
          and pg_catalog.has_table_privilege('slotproof.units', 'UPDATE')
          and pg_catalog.has_table_privilege('slotproof.units', 'DELETE')
          and not pg_catalog.pg_is_in_recovery()`.as('adds_up_units'),
      ])
      .where('oid', '=', entriesTable),
  };
}
