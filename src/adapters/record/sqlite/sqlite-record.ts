// The record in SQLite: entries are appended to this computer's chain and the units they touch are added up in
// one transaction. What an entry means, how it is hashed and what it adds up to are the rules' business.
// Pages are read to their end before they are handed out, so that no reader stands in a writer's way.

import type Database from 'better-sqlite3';
import type { Clock } from '../../../ports/clock.ts';
import {
  noPrev,
  type ProvedEntry,
  type RecordRules,
  type SealedEntry,
  type StoredEntry,
} from '../../../ports/record-rules.ts';
import type {
  Entry,
  EntryAddress,
  EntryDraft,
  EntryQuery,
  Looked,
  Mark,
  Pause,
  RecordCheck,
  RecordCounts,
  RecordStore,
  TakenIn,
  UnitFilter,
} from '../../../ports/record-store.ts';
import type { Failure } from '../../../words/failure.ts';
import { formatLocalTime } from '../../../words/local-time.ts';
import { notedEnd, noteEnd } from './chain-place.ts';
import { checkSqliteRecord } from './check-sqlite-record.ts';
import { entryPages } from './entry-pages.ts';
import { EntryWriter } from './entry-writer.ts';
import { inPieces } from './in-pieces.ts';
import { recordDamaged, sqliteFailure } from './sqlite-failure.ts';
import { Statements } from './statements.ts';
import { TakeIn } from './take-in.ts';
import { UnitTable } from './unit-table.ts';

/** What is waited for lies in memory until it is written: nobody else waits for the network. */
const batchEntries = 48_000;
const batchCharacters = 24_000_000;

async function* batchesOf(entries: AsyncIterable<SealedEntry>): AsyncGenerator<SealedEntry[]> {
  let batch: SealedEntry[] = [];
  let length = 0;
  for await (const entry of entries) {
    batch.push(entry);
    length += entry.text.length;
    if (batch.length < batchEntries && length < batchCharacters) continue;
    yield batch;
    batch = [];
    length = 0;
  }
  if (batch.length > 0) yield batch;
}

export interface SqliteRecordParts<Unit> {
  readonly path: string;
  readonly laptop: string;
  readonly clock: Clock;
  readonly rules: RecordRules<Unit>;
  /** The laptop id to append under, once it was looked whether this record is a copy; asked before the first write. */
  readonly ownLaptop?: () => string;
  /** Why nothing can be written to it, where it is only to be read. */
  readonly readOnly?: Failure | undefined;
  /** What a second thread runs that checks units (`check-units.ts`). */
  readonly unitsThread?: string | undefined;
}

export class SqliteRecord<Unit> implements RecordStore<Unit> {
  #laptop: string;
  #isSettled = false;
  readonly #database: Database.Database;
  readonly #parts: SqliteRecordParts<Unit>;
  readonly #statements: Statements;
  readonly #units: UnitTable<Unit>;

  constructor(database: Database.Database, parts: SqliteRecordParts<Unit>) {
    this.#laptop = parts.laptop;
    this.#database = database;
    this.#parts = parts;
    this.#statements = new Statements(database);
    this.#units = new UnitTable(this.#statements, parts.rules, (sealed) => this.#open(sealed));
  }

  get laptop(): string {
    return this.#laptop;
  }

  get readOnly(): Failure | undefined {
    return this.#parts.readOnly;
  }

  /** Before anything is written: a copy of a record begins a chain of its own. */
  settle(): void {
    if (this.readOnly !== undefined) throw this.readOnly;
    if (this.#isSettled) return;
    this.#laptop = this.#told(() => this.#parts.ownLaptop?.() ?? this.#laptop);
    this.#isSettled = true;
  }

  async append(drafts: readonly EntryDraft[]): Promise<EntryAddress[]> {
    if (drafts.length === 0) return [];
    this.settle();
    const addresses: EntryAddress[] = [];
    this.#told(() =>
      this.#database
        .transaction(() => {
          const appending = this.#beginAppending();
          for (const draft of drafts) addresses.push(appending.write(draft));
          appending.end();
        })
        .immediate(),
    );
    this.#noteEnd(addresses.at(-1));
    return addresses;
  }

  async appendEach(drafts: AsyncIterable<EntryDraft>): Promise<number> {
    this.settle();
    let count = 0;
    let newest: EntryAddress | undefined;
    this.#told(() => this.#database.exec('BEGIN IMMEDIATE'));
    try {
      const appending = this.#told(() => this.#beginAppending());
      for await (const draft of drafts) {
        newest = this.#told(() => appending.write(draft));
        count += 1;
      }
      this.#told(() => {
        appending.end();
        this.#database.exec('COMMIT');
      });
    } catch (error) {
      // Where the disk is full or gone, SQLite has ended it by itself.
      if (this.#database.inTransaction) this.#database.exec('ROLLBACK');
      throw error;
    }
    this.#noteEnd(newest);
    return count;
  }

  /** Entries of one time of writing, at the end of this computer's chain, inside a transaction of the caller's. */
  #beginAppending() {
    const { clock, rules } = this.#parts;
    const writtenAt = formatLocalTime(clock.now(), clock);
    const writer = new EntryWriter(this.#statements, this.#units);
    const laptop = this.laptop;
    let end = this.#requireEnd(laptop);
    return {
      write: (draft: EntryDraft): EntryAddress => {
        const stored = rules.seal(draft, { laptop, seq: end.seq + 1, prev: end.hash, writtenAt });
        writer.insert(stored);
        end = { seq: stored.seq, hash: stored.hash };
        return addressOf(stored);
      },
      end: (): void => {
        writer.addUpUnits();
        if (end.seq > 0) this.#statements.run('noteMark', { laptop, ...end });
      },
    };
  }

  /** Beside the record as well: only where something was written. */
  #noteEnd(newest: EntryAddress | undefined): void {
    if (newest !== undefined) noteEnd(this.#parts.path, newest);
  }

  /** Where a chain ends. It never grows on an end that is not the one last noted. */
  #requireEnd(laptop: string): { seq: number; hash: string } {
    const last = this.#statements.get('chainLast', { laptop });
    const noted = this.#statements.get('markOf', { laptop });
    if (last?.seq !== noted?.seq || last?.hash !== noted?.hash) {
      throw recordDamaged(this.#parts.path, `the chain of ${laptop} does not end where it was noted to end`);
    }
    return last ?? { seq: 0, hash: noPrev };
  }

  async unit(serial: string): Promise<Unit | undefined> {
    return this.#told(() => this.#units.get(serial));
  }

  async *units(filter: UnitFilter = {}): AsyncGenerator<Unit> {
    const pages = this.#units.pages(filter)[Symbol.iterator]();
    for (;;) {
      const page = this.#told(() => pages.next());
      if (page.done) return;
      yield* page.value;
    }
  }

  async serialsFrom(texts: readonly string[]): Promise<(string | null)[]> {
    return this.#told(() => texts.map((text) => this.#units.serialFrom(text)));
  }

  async sites(): Promise<string[]> {
    return this.#told(() => this.#units.sites());
  }

  async entry(id: string): Promise<Entry | undefined> {
    const match = /^(.+)-([1-9]\d{0,14})$/.exec(id);
    if (match === null) return undefined;
    return this.#told(() => {
      const stored = this.#statements.get('entryAt', { laptop: match[1]!, seq: Number(match[2]) });
      return stored === undefined ? undefined : this.#open(stored);
    });
  }

  async *entries(query: EntryQuery): AsyncGenerator<Entry> {
    const pages = entryPages(this.#statements, query)[Symbol.iterator]();
    for (;;) {
      const page = this.#told(() => pages.next());
      if (page.done) return;
      for (const stored of page.value) yield this.#open(stored);
    }
  }

  async *sealed(chain: { laptop: string; fromSeq?: number; toSeq?: number }): AsyncGenerator<StoredEntry> {
    const pages = entryPages(this.#statements, chain)[Symbol.iterator]();
    for (;;) {
      const page = this.#told(() => pages.next());
      if (page.done) return;
      yield* page.value;
    }
  }

  async takeIn(
    entries: Iterable<SealedEntry | ProvedEntry> | AsyncIterable<SealedEntry>,
    pause?: Pause,
  ): Promise<TakenIn> {
    this.settle();
    const work = new TakeIn(this.#database, {
      own: this.laptop,
      rules: this.#parts.rules,
      statements: this.#statements,
      units: this.#units,
      endOf: (laptop) => this.#requireEnd(laptop),
    });
    if (Symbol.asyncIterator in entries) {
      for await (const batch of batchesOf(entries)) this.#told(() => work.store(batch));
    } else {
      await this.#inPieces(work.storing(entries), pause);
    }
    return work.result();
  }

  async marks(): Promise<Mark[]> {
    return this.#told(() => this.#marksNow());
  }

  #marksNow(): Mark[] {
    return this.#statements.all('marks');
  }

  async counts(): Promise<RecordCounts> {
    return this.#told(() => ({
      entries: this.#statements.count('countEntries'),
      units: this.#statements.count('countUnits'),
      laptops: this.#statements.count('countMarks'),
    }));
  }

  async check(known: readonly Mark[] = [], looked?: Looked, pause?: Pause): Promise<RecordCheck> {
    const { rules, path, unitsThread } = this.#parts;
    const partsNow = () => {
      // What was noted beside the record must be in it, too: so a record put back to an earlier state is told.
      const noted = notedEnd(path);
      const marks = noted === undefined ? known : [...known, noted];
      const [statements, units] = [this.#statements, this.#units];
      return { rules, statements, units, ends: this.#marksNow(), known: marks, looked };
    };
    try {
      return await checkSqliteRecord(this.#database, { path, unitsThread }, partsNow, pause);
    } catch (error) {
      throw sqliteFailure(error, path);
    }
  }

  async rebuild(pause?: Pause): Promise<{ units: number; differed: string[] }> {
    if (this.readOnly !== undefined) throw this.readOnly;
    return this.#inPieces(this.#units.rebuilding(), pause);
  }

  async #inPieces<T>(work: Generator<void, T>, pause: Pause | undefined): Promise<T> {
    try {
      return await inPieces(this.#database, work, pause);
    } catch (error) {
      throw sqliteFailure(error, this.#parts.path);
    }
  }

  close(): void {
    this.#database.close();
  }

  #open(sealed: SealedEntry): Entry {
    const entry = this.#parts.rules.open(sealed);
    if (entry === undefined) {
      throw recordDamaged(
        this.#parts.path,
        `the entry of the hash ${sealed.hash.slice(0, 12)} cannot be read`,
      );
    }
    return entry;
  }

  #told<T>(work: () => T): T {
    try {
      return work();
    } catch (error) {
      throw sqliteFailure(error, this.#parts.path);
    }
  }
}

const addressOf = ({ laptop, seq, hash }: StoredEntry): EntryAddress => ({
  id: `${laptop}-${seq}`,
  laptop,
  seq,
  hash,
});
