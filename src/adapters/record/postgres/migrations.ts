// The office record's tables, step by step, as PostgreSQL makes them: the n-th text leads from version n-1 to version n
// (slotproof.about). A step that has been released is never changed; a new one is added after it.
//
// The server trusts no client: whoever adds entries can add only the next of a chain that was entrusted to that role,
// with the hash of its text and the columns that the text says, and nobody can change or remove one. The ends of chains
// (marks) are the server's own note. Units are what the entries add up to; where the role that adds entries may not
// write units, they are put on the list of those that are behind (stale_units), in the same transaction.

/** PostgreSQL 13 brought gen_random_uuid(). */
export const oldestServer = 130_000;

const tables = `
  CREATE SCHEMA slotproof;

  CREATE TABLE slotproof.about (
    one smallint PRIMARY KEY CHECK (one = 1),
    version integer NOT NULL,
    server text NOT NULL
  );
  INSERT INTO slotproof.about (one, version, server) VALUES (1, 0, gen_random_uuid()::text);

  CREATE TABLE slotproof.entries (
    laptop text COLLATE "C" NOT NULL CHECK (laptop ~ '^[a-z0-9]{1,32}$'),
    seq bigint NOT NULL CHECK (seq BETWEEN 1 AND 999999999999999),
    kind text COLLATE "C" NOT NULL,
    serial text COLLATE "C",
    claimed_ms bigint NOT NULL,
    written_ms bigint NOT NULL,
    hash text COLLATE "C" NOT NULL,
    text text NOT NULL,
    PRIMARY KEY (laptop, seq)
  );
  CREATE INDEX entries_by_serial ON slotproof.entries (serial, claimed_ms, written_ms, laptop, seq)
    WHERE serial IS NOT NULL;
  CREATE INDEX entries_by_kind ON slotproof.entries (kind, claimed_ms, written_ms, laptop, seq);

  CREATE TABLE slotproof.marks (
    laptop text COLLATE "C" PRIMARY KEY,
    seq bigint NOT NULL,
    hash text COLLATE "C" NOT NULL
  );

  CREATE TABLE slotproof.units (
    serial text COLLATE "C" PRIMARY KEY,
    product text COLLATE "C" NOT NULL,
    site text COLLATE "C",
    retired smallint NOT NULL,
    newest_ms bigint NOT NULL,
    state text NOT NULL
  );
  CREATE INDEX units_by_product ON slotproof.units (product, serial);
  CREATE INDEX units_by_site ON slotproof.units (site, serial);

  CREATE TABLE slotproof.stale_units (serial text COLLATE "C" PRIMARY KEY);

  -- direct: the role itself writes this chain here; of the others it brings what a laptop has written.
  -- The laptop * stands for all chains: whoever carries for others.
  CREATE TABLE slotproof.writers (
    role_name text COLLATE "C" NOT NULL,
    laptop text COLLATE "C" NOT NULL CHECK (laptop ~ '^([a-z0-9]{1,32}|[*])$'),
    direct boolean NOT NULL DEFAULT false,
    PRIMARY KEY (role_name, laptop)
  );
`;

const unchanging = `
  CREATE FUNCTION slotproof.refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
      RAISE EXCEPTION 'an entry is never changed or removed' USING ERRCODE = 'SP002';
    END $$;
  CREATE TRIGGER entries_are_never_changed BEFORE UPDATE OR DELETE ON slotproof.entries
    FOR EACH ROW EXECUTE FUNCTION slotproof.refuse_change();
  CREATE TRIGGER entries_are_never_emptied BEFORE TRUNCATE ON slotproof.entries
    FOR EACH STATEMENT EXECUTE FUNCTION slotproof.refuse_change();
`;

/**
 * What a text says, as PostgreSQL's JSON can hold it: not the character 0, so its escape becomes another character, and
 * before that the escape of the backslash, so that none is taken for the other. Columns are compared in the same form.
 * A text that is not the form of an entry at all is refused like one that says something else: nobody can put anything
 * there that stops others from reading on.
 */
const chained = `
  CREATE FUNCTION slotproof.says(entry text, chain text, place bigint, hash_before text, kind text, serial text,
      claimed_ms bigint, written_ms bigint)
    RETURNS boolean LANGUAGE plpgsql STABLE SET search_path = pg_catalog, pg_temp AS $$
    DECLARE
      said jsonb;
      instant CONSTANT text :=
        '^[0-9]{4}-[0-9]{2}-[0-9]{2}T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9][.][0-9]{3}[+-][0-9]{2}:[0-9]{2}$';
    BEGIN
      BEGIN
        said := replace(replace(entry, '\\\\', '??'), '\\u0000', '?')::jsonb;
        RETURN coalesce(
          said->'format' = '1' AND jsonb_typeof(said->'body') = 'object'
          AND jsonb_typeof(said->'typedBy') = 'string' AND jsonb_typeof(said->'doneBy') = 'string'
          AND jsonb_typeof(said->'kindVersion') = 'number' AND said->>'kindVersion' ~ '^[1-9][0-9]{0,14}$'
          AND said->'laptop' = to_jsonb(chain) AND said->'seq' = to_jsonb(place)
          AND said->'prev' = to_jsonb(hash_before)
          AND said->'kind' = to_jsonb(replace(kind, '\\', '??'))
          AND replace(serial, '\\', '??') IS NOT DISTINCT FROM
            (CASE jsonb_typeof(said->'body'->'serial') WHEN 'string' THEN said->'body'->>'serial' END)
          AND said->>'claimedAt' ~ instant AND said->>'writtenAt' ~ instant
          AND claimed_ms = (extract(epoch FROM (said->>'claimedAt')::timestamptz) * 1000)::bigint
          AND written_ms = (extract(epoch FROM (said->>'writtenAt')::timestamptz) * 1000)::bigint,
          false);
      EXCEPTION WHEN data_exception OR statement_too_complex THEN
        RETURN false;
      END;
    END $$;

  CREATE FUNCTION slotproof.add_to_chains() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER
    SET search_path = pg_catalog, pg_temp AS $$
    DECLARE
      wrong text;
    BEGIN
      PERFORM 1 FROM slotproof.marks WHERE laptop IN (SELECT laptop FROM added) ORDER BY laptop FOR UPDATE;
      SELECT one.laptop || '-' || one.seq INTO wrong
        FROM (
          SELECT added.*,
            lag(added.seq) OVER chain AS seq_before, lag(added.hash) OVER chain AS hash_before
          FROM added WINDOW chain AS (PARTITION BY added.laptop ORDER BY added.seq)
        ) AS one LEFT JOIN slotproof.marks AS ending ON ending.laptop = one.laptop
        WHERE one.seq <> coalesce(one.seq_before, ending.seq, 0) + 1
          OR one.hash <> encode(sha256(convert_to(one.text, 'UTF8')), 'hex')
          OR NOT slotproof.says(one.text, one.laptop, one.seq, coalesce(one.hash_before, ending.hash, repeat('0', 64)),
            one.kind, one.serial, one.claimed_ms, one.written_ms)
        ORDER BY one.laptop, one.seq LIMIT 1;
      IF wrong IS NOT NULL THEN
        RAISE EXCEPTION 'not the next entry of its chain, or not what its text says: %', wrong USING ERRCODE = 'SP001';
      END IF;
      INSERT INTO slotproof.marks AS ending (laptop, seq, hash)
        SELECT DISTINCT ON (laptop) laptop, seq, hash FROM added ORDER BY laptop, seq DESC
        ON CONFLICT (laptop) DO UPDATE SET seq = excluded.seq, hash = excluded.hash;
      -- An update where it is there already: its row is then locked against whoever is adding the unit up.
      INSERT INTO slotproof.stale_units (serial)
        SELECT DISTINCT serial FROM added WHERE serial IS NOT NULL ORDER BY serial
        ON CONFLICT (serial) DO UPDATE SET serial = excluded.serial;
      RETURN NULL;
    END $$;
  CREATE TRIGGER entries_follow_in_chains AFTER INSERT ON slotproof.entries
    REFERENCING NEW TABLE AS added
    FOR EACH STATEMENT EXECUTE FUNCTION slotproof.add_to_chains();

  CREATE FUNCTION slotproof.may_add(chain text) RETURNS boolean LANGUAGE sql STABLE SECURITY DEFINER
    SET search_path = pg_catalog, pg_temp AS $$
      SELECT EXISTS (SELECT 1 FROM slotproof.writers
        WHERE role_name = session_user AND (laptop = chain OR laptop = '*'))
    $$;

  -- Where those chains end that the role may add to; nobody else adds to them until the transaction is over.
  CREATE FUNCTION slotproof.hold_chains(laptops text[]) RETURNS TABLE (laptop text, seq bigint, hash text)
    LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
      SELECT ending.laptop, ending.seq, ending.hash FROM slotproof.marks AS ending
        WHERE ending.laptop = ANY (laptops) AND slotproof.may_add(ending.laptop) ORDER BY ending.laptop FOR UPDATE
    $$;
`;

const rights = `
  ALTER TABLE slotproof.entries ENABLE ROW LEVEL SECURITY;
  CREATE POLICY entries_are_read ON slotproof.entries FOR SELECT USING (true);
  CREATE POLICY entries_are_added_to_own_chains ON slotproof.entries FOR INSERT
    WITH CHECK (slotproof.may_add(laptop));

  -- Entrusts a chain to a role. Run by whoever set the record up.
  CREATE FUNCTION slotproof.admit(role_name text, laptop text, direct boolean DEFAULT false) RETURNS void
    LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
    BEGIN
      INSERT INTO slotproof.writers (role_name, laptop, direct) VALUES ($1, $2, $3)
        ON CONFLICT ON CONSTRAINT writers_pkey DO UPDATE SET direct = excluded.direct;
      EXECUTE format('GRANT slotproof_laptop TO %I', $1);
    END $$;

  DO $$
    DECLARE
      wanted text;
    BEGIN
      FOREACH wanted IN ARRAY ARRAY['slotproof_reader', 'slotproof_laptop', 'slotproof_office'] LOOP
        BEGIN
          EXECUTE format('CREATE ROLE %I NOLOGIN', wanted);
        EXCEPTION WHEN duplicate_object OR unique_violation THEN
          NULL;
        END;
      END LOOP;
    END $$;
  GRANT slotproof_reader TO slotproof_laptop;
  GRANT slotproof_laptop TO slotproof_office;

  REVOKE ALL ON ALL FUNCTIONS IN SCHEMA slotproof FROM PUBLIC;
  GRANT USAGE ON SCHEMA slotproof TO slotproof_reader;
  GRANT SELECT ON ALL TABLES IN SCHEMA slotproof TO slotproof_reader;
  GRANT INSERT ON slotproof.entries TO slotproof_laptop;
  GRANT EXECUTE ON FUNCTION slotproof.hold_chains, slotproof.may_add TO slotproof_laptop;
  GRANT INSERT, UPDATE, DELETE ON slotproof.units TO slotproof_office;
  GRANT DELETE, UPDATE ON slotproof.stale_units TO slotproof_office;
`;

export const migrations: readonly string[] = [`${tables}${unchanging}${chained}${rights}`];
