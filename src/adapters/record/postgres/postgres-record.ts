// The record in PostgreSQL: entries are appended to this role's chain, or taken in, and the units they touch are added
// up in one transaction. What an entry means, how it is hashed and what it adds up to are the rules' business; who may
// add to which chain is the server's. Pages are read to their end before they are handed out.

import type { Clock } from '../../../ports/clock.ts';
import type { RoleRights, ServerRecord } from '../../../ports/office-server.ts';
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
  RecordCheck,
  RecordCounts,
  TakenIn,
  UnitFilter,
} from '../../../ports/record-store.ts';
import { Failure } from '../../../words/failure.ts';
import type { Finding } from '../../../words/finding.ts';
import { formatLocalTime } from '../../../words/local-time.ts';
import type { ChainEnd } from '../admission.ts';
import { checkPostgresRecord } from './check-postgres-record.ts';
import { checkRights } from './check-rights.ts';
import type { Connection, Queries } from './connection.ts';
import { entryPages } from './entry-pages.ts';
import { serverDamaged } from './postgres-failure.ts';
import { TakeIn } from './take-in.ts';
import { UnitTable } from './unit-table.ts';

/** As much as is lost where the connection is, and done again. */
const batchEntries = 2000;
const batchCharacters = 4_000_000;

export interface PostgresRecordParts<Unit> {
  /** The address, fit to be shown. */
  readonly where: string;
  /** The same after it was moved or restored. */
  readonly server: string;
  readonly rights: RoleRights;
  /** `exchange`: all chains are taken in alike. */
  readonly use: 'own' | 'exchange';
  readonly clock: Clock;
  readonly rules: RecordRules<Unit>;
}

export class PostgresRecord<Unit> implements ServerRecord<Unit> {
  /** Empty where the role writes no chain of its own. */
  readonly laptop: string;
  readonly #connection: Connection;
  readonly #parts: PostgresRecordParts<Unit>;
  readonly #units: UnitTable<Unit>;

  constructor(connection: Connection, parts: PostgresRecordParts<Unit>) {
    this.laptop = parts.use === 'exchange' ? '' : (parts.rights.direct ?? '');
    this.#connection = connection;
    this.#parts = parts;
    this.#units = new UnitTable(parts.rules, (stored) => this.#open(stored));
  }

  get where(): string {
    return this.#parts.where;
  }

  get server(): string {
    return this.#parts.server;
  }

  get rights(): RoleRights {
    return this.#parts.rights;
  }

  async append(drafts: readonly EntryDraft[]): Promise<EntryAddress[]> {
    if (drafts.length === 0) return [];
    if (this.laptop === '') throw noOwnChain(this.#parts.where, this.#parts.rights.role);
    return this.#connection.transaction((queries) => this.#appendAll(queries, drafts));
  }

  /** A transaction may have to be begun again: they are held. */
  async appendEach(drafts: AsyncIterable<EntryDraft>): Promise<number> {
    const all: EntryDraft[] = [];
    for await (const draft of drafts) all.push(draft);
    return (await this.append(all)).length;
  }

  async #appendAll(queries: Queries, drafts: readonly EntryDraft[]): Promise<EntryAddress[]> {
    const { clock, rules } = this.#parts;
    const { laptop } = this;
    let end = (await this.#hold(queries, [laptop])).get(laptop) ?? { seq: 0, hash: noPrev };
    // After the wait for others, so that times stand in the order of the chain.
    const writtenAt = formatLocalTime(clock.now(), clock);
    const entries: StoredEntry[] = [];
    for (const draft of drafts) {
      const stored = rules.seal(draft, { laptop, seq: end.seq + 1, prev: end.hash, writtenAt });
      entries.push(stored);
      end = stored;
    }
    await this.#store(queries, entries);
    return entries.map(({ seq, hash }) => ({ id: `${laptop}-${seq}`, laptop, seq, hash }));
  }

  /** Where chains end, held against others. A chain never grows on an end that is not the one last noted. */
  async #hold(queries: Queries, laptops: readonly string[]): Promise<Map<string, ChainEnd>> {
    const ends = new Map<string, ChainEnd>();
    for (const { laptop, seq, hash } of await queries.all('holdChains', { laptops })) {
      ends.set(laptop, { seq, hash });
    }
    for (const laptop of laptops) {
      const last = await queries.get('chainLast', { laptop });
      const noted = ends.get(laptop);
      // Of a chain that somebody else is only just beginning, the server refuses the second first entry.
      if (noted !== undefined && (last?.seq !== noted.seq || last.hash !== noted.hash)) {
        throw serverDamaged(
          this.#parts.where,
          `the chain of ${laptop} does not end where it was noted to end`,
        );
      }
    }
    return ends;
  }

  async #store(queries: Queries, entries: readonly StoredEntry[]): Promise<void> {
    await queries.all('insertEntries', {
      laptops: entries.map(({ laptop }) => laptop),
      seqs: entries.map(({ seq }) => seq),
      kinds: entries.map(({ kind }) => kind),
      serials: entries.map(({ serial }) => serial),
      claimed: entries.map(({ claimedMs }) => claimedMs),
      written: entries.map(({ writtenMs }) => writtenMs),
      hashes: entries.map(({ hash }) => hash),
      texts: entries.map(({ text }) => text),
    });
    if (!this.#parts.rights.addsUpUnits) return;
    const touched = new Set(entries.flatMap(({ serial }) => (serial === null ? [] : [serial])));
    await this.#units.addUp(queries, touched);
  }

  /** Where this role may: the first to look brings up to date what laptops could not. */
  async #settle(): Promise<void> {
    if (!this.#parts.rights.addsUpUnits) return;
    while (await this.#connection.transaction((queries) => this.#units.settleSome(queries)));
  }

  async unit(serial: string): Promise<Unit | undefined> {
    return this.#units.get(this.#connection, serial);
  }

  async *units(filter: UnitFilter = {}): AsyncGenerator<Unit> {
    await this.#settle();
    for await (const page of this.#units.pages(this.#connection, filter)) yield* page;
  }

  async serialsFrom(texts: readonly string[]): Promise<(string | null)[]> {
    await this.#settle();
    return this.#units.serialsFrom(this.#connection, texts);
  }

  async sites(): Promise<string[]> {
    await this.#settle();
    return this.#units.sites(this.#connection);
  }

  async entry(id: string): Promise<Entry | undefined> {
    const match = /^(.+)-([1-9]\d{0,14})$/.exec(id);
    if (match === null || id.includes('\0')) return undefined;
    const stored = await this.#connection.get('entryAt', { laptop: match[1]!, seq: Number(match[2]) });
    return stored === undefined ? undefined : this.#open(stored);
  }

  async *entries(query: EntryQuery): AsyncGenerator<Entry> {
    for await (const page of entryPages(this.#connection, query)) {
      for (const stored of page) yield this.#open(stored);
    }
  }

  async *sealed(chain: { laptop: string; fromSeq?: number; toSeq?: number }): AsyncGenerator<StoredEntry> {
    for await (const page of entryPages(this.#connection, chain)) yield* page;
  }

  async takeIn(entries: Iterable<SealedEntry | ProvedEntry> | AsyncIterable<SealedEntry>): Promise<TakenIn> {
    const { rules, use } = this.#parts;
    const work = new TakeIn({
      own: use === 'exchange' || this.laptop === '' ? undefined : this.laptop,
      rules,
      hold: (queries, laptops) => this.#hold(queries, laptops),
      store: (queries, batch) => this.#store(queries, batch),
    });
    let batch: SealedEntry[] = [];
    let length = 0;
    const store = async () => {
      const given = batch;
      batch = [];
      length = 0;
      (await this.#connection.transaction((queries) => work.store(queries, given))).keep();
    };
    for await (const given of entries) {
      // Proved once more: an office's server is asked for the same as anybody else.
      const entry = 'stored' in given ? given.stored : given;
      batch.push(entry);
      length += entry.text.length;
      if (batch.length >= batchEntries || length >= batchCharacters) await store();
    }
    if (batch.length > 0) await store();
    return work.result();
  }

  async marks(): Promise<Mark[]> {
    return this.#connection.all('marks');
  }

  async counts(): Promise<RecordCounts> {
    return this.#connection.snapshot(async (queries) => ({
      entries: Number((await queries.get('countEntries'))?.count),
      units: await this.#units.count(queries),
      laptops: Number((await queries.get('countMarks'))?.count),
    }));
  }

  async check(known: readonly Mark[] = [], looked?: Looked): Promise<RecordCheck> {
    const { rules } = this.#parts;
    return this.#connection.snapshot((queries) =>
      checkPostgresRecord(queries, { rules, units: this.#units, known, looked }),
    );
  }

  checkRights(): Promise<Finding[]> {
    return this.#connection.snapshot(checkRights);
  }

  async rebuild(): Promise<{ units: number; differed: string[] }> {
    await this.#settle();
    return this.#connection.transaction((queries) => this.#units.rebuild(queries));
  }

  close(): void {
    this.#connection.close();
  }

  #open(stored: StoredEntry): Entry {
    const entry = this.#parts.rules.open(stored);
    if (entry === undefined) {
      throw serverDamaged(this.#parts.where, `the entry ${stored.laptop}-${stored.seq} cannot be read`);
    }
    return entry;
  }
}

function noOwnChain(where: string, role: string): Failure {
  return new Failure({
    code: 'server-no-own-chain',
    exit: 7,
    summary: 'This user writes no chain of its own on the server.',
    where,
    next: `Log on the laptop and run slotproof record sync, or let the administrator run: SELECT slotproof.admit('${role}', 'NEW-ID', true)`,
  });
}
