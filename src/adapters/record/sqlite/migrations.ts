// The record's tables, step by step: the n-th text leads from version n-1 to version n (PRAGMA user_version).
// A step that has been released is never changed; a new one is added after it.

/** Marks the file as ours (PRAGMA application_id): "slpf". */
export const applicationId = 0x736c7066;

const entries = `
  CREATE TABLE entries (
    laptop TEXT NOT NULL,
    seq INTEGER NOT NULL,
    kind TEXT NOT NULL,
    serial TEXT,
    claimed_ms INTEGER NOT NULL,
    written_ms INTEGER NOT NULL,
    hash TEXT NOT NULL,
    text TEXT NOT NULL,
    UNIQUE (laptop, seq)
  ) STRICT;
  CREATE INDEX entries_by_serial ON entries (serial, claimed_ms, written_ms, laptop, seq) WHERE serial IS NOT NULL;
  CREATE INDEX entries_by_kind ON entries (kind, claimed_ms, written_ms, laptop, seq);

  CREATE TRIGGER entries_are_never_changed BEFORE UPDATE ON entries
    BEGIN SELECT RAISE (ABORT, 'an entry is never changed'); END;
  CREATE TRIGGER entries_are_never_removed BEFORE DELETE ON entries
    BEGIN SELECT RAISE (ABORT, 'an entry is never removed'); END;
  -- INSERT OR REPLACE removes without a word to the trigger above.
  CREATE TRIGGER entries_are_never_replaced BEFORE INSERT ON entries
    WHEN EXISTS (SELECT 1 FROM entries WHERE laptop = NEW.laptop AND seq = NEW.seq)
    BEGIN SELECT RAISE (ABORT, 'an entry is never replaced'); END;
`;

/** Each chain's newest entry, so that a tail that was cut off is told. */
const marks = `
  CREATE TABLE marks (
    laptop TEXT PRIMARY KEY,
    seq INTEGER NOT NULL,
    hash TEXT NOT NULL
  ) STRICT, WITHOUT ROWID;
`;

/** What the entries add up to; made anew from them at any time. */
const units = `
  CREATE TABLE units (
    serial TEXT PRIMARY KEY,
    product TEXT NOT NULL,
    site TEXT,
    retired INTEGER NOT NULL,
    newest_ms INTEGER NOT NULL,
    state TEXT NOT NULL
  ) STRICT;
  CREATE INDEX units_by_product ON units (product, serial);
  CREATE INDEX units_by_site ON units (site, serial);
`;

/** Whose chain this file appends to: one row. */
const own = `
  CREATE TABLE own (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    laptop TEXT NOT NULL
  ) STRICT;
`;

/** Facts of the file that stands for the record's place: a copy has none with these (`chain-place.ts`). */
const ownPlace = 'ALTER TABLE own ADD COLUMN place TEXT;';

/**
 * The same guard, faster: with FAIL, here and in the insert, nothing of a statement has to be put back, so SQLite does
 * not copy each page that an entry changes beforehand. A transaction that fails is rolled back as a whole in any case.
 */
const neverReplaced = `
  DROP TRIGGER entries_are_never_replaced;
  CREATE TRIGGER entries_are_never_replaced BEFORE INSERT ON entries
    WHEN EXISTS (SELECT 1 FROM entries WHERE laptop = NEW.laptop AND seq = NEW.seq)
    BEGIN SELECT RAISE (FAIL, 'an entry is never replaced'); END;
`;

export const migrations: readonly string[] = [`${entries}${marks}${units}${own}`, ownPlace, neverReplaced];
