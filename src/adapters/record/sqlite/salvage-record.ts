// What can be saved of a damaged record: every entry whose own hash proves it, found page by page, and of these each
// chain from its first entry to the first gap, in a new record. Entries behind a gap are kept as lines beside it.
// Changes nothing of what it reads.

import { existsSync } from 'node:fs';
import Database from 'better-sqlite3';
import type { Salvaged, SavedChain } from '../../../ports/record-file.ts';
import { noPrev, type RecordRules, type SealedEntry } from '../../../ports/record-rules.ts';
import type { Mark, Pause } from '../../../ports/record-store.ts';
import { Failure } from '../../../words/failure.ts';
import { localFiles } from '../../files/local-files.ts';
import { carveRows } from './carve-rows.ts';
import { notedEnd } from './chain-place.ts';
import { inPieces, pieceLength } from './in-pieces.ts';
import { newLaptopId } from './laptop-id.ts';
import { migrate, setDurable } from './migrate.ts';
import { applicationId } from './migrations.ts';
import type { SqliteRecordPlace } from './open-sqlite-record.ts';
import { openPages } from './page-file.ts';
import { SqliteRecord } from './sqlite-record.ts';
import { Statements } from './statements.ts';
import { makeWholeFile } from './whole-file.ts';

const maxLooseFileBytes = 512 * 2 ** 20;

export async function salvageRecord<Unit>(
  place: SqliteRecordPlace<Unit>,
  target: string,
  further: readonly string[],
  pause: Pause = async () => {},
): Promise<Salvaged> {
  const loosePath = `${target}.loose`;
  const found = new Found(place.rules);
  try {
    const useless: string[] = [];
    for (const path of [place.path, ...further]) {
      if ((await found.read(path, pause)) === 0 && path !== place.path) useless.push(path);
    }
    if (found.isEmpty()) throw nothingFound(place.path);
    const chains = found.chains();
    const isLoose = chains.some(({ loose }) => loose > 0);
    const check = await makeWholeFile(target, async (unfinished) => {
      const result = await writeRecord(place, unfinished, found.saved(chains), pause);
      if (isLoose) localFiles.writeNew(loosePath, found.looseLines(chains));
      return { result, keep: true };
    });
    return { chains, loosePath: isLoose ? loosePath : undefined, useless, check };
  } finally {
    found.close();
  }
}

async function writeRecord<Unit>(
  { clock, rules, random }: SqliteRecordPlace<Unit>,
  path: string,
  entries: Iterable<SealedEntry>,
  pause: Pause,
) {
  const laptop = newLaptopId(random);
  const database = new Database(path);
  try {
    setDurable(database);
    database.pragma(`application_id = ${applicationId}`);
    migrate(database, path);
    new Statements(database).run('putOwn', { laptop });
    const record = new SqliteRecord(database, { path, laptop, clock, rules });
    await record.takeIn(entries, pause);
    return await record.check([], undefined, pause);
  } finally {
    database.close();
  }
}

/** What was found, in a database of its own among the temporary files: memory holds one entry. */
class Found<Unit> {
  readonly #rules: RecordRules<Unit>;
  readonly #database = new Database('');
  readonly #ends = new Map<string, number>();

  constructor(rules: RecordRules<Unit>) {
    this.#rules = rules;
    this.#database.exec(
      `CREATE TABLE found (laptop TEXT, seq INTEGER, prev TEXT, hash TEXT, text TEXT, PRIMARY KEY (laptop, seq, hash)) WITHOUT ROWID`,
    );
  }

  /** How many entries it holds, whether or not they were found before. */
  read(path: string, pause: Pause): Promise<number> {
    return inPieces(this.#database, this.#reading(path), pause);
  }

  *#reading(path: string): Generator<void, number> {
    const noted = notedEnd(path);
    if (noted !== undefined) this.#noteEnd(noted);
    let [count, looked] = [0, 0];
    const put = this.#database.prepare('INSERT OR IGNORE INTO found VALUES (?, ?, ?, ?, ?)');
    for (const sealed of this.#sealedIn(path)) {
      looked += 1;
      if (looked % pieceLength === 0) yield;
      const received = this.#rules.receive(sealed);
      if ('fault' in received) continue;
      const { laptop, seq, hash, text } = received.stored;
      put.run(laptop, seq, received.prev, hash, text);
      count += 1;
    }
    return count;
  }

  *#sealedIn(path: string): Generator<SealedEntry> {
    if (isLines(path)) return yield* sealedLines(path);
    const pages = openPages(path);
    if (pages === undefined) return;
    try {
      for (const { isTable, values } of carveRows(pages)) {
        const [laptop, seq, hash] = values;
        if (isTable && values.length === 8) {
          if (typeof values[6] === 'string' && typeof values[7] === 'string') {
            yield { hash: values[6], text: values[7] };
          }
        } else if (!isTable && values.length === 3) {
          if (typeof laptop !== 'string' || typeof seq !== 'number' || typeof hash !== 'string') continue;
          if (/^[a-z0-9]{1,32}$/.test(laptop) && /^[0-9a-f]{64}$/.test(hash))
            this.#noteEnd({ laptop, seq, hash });
        }
      }
    } finally {
      pages.close();
    }
  }

  #noteEnd({ laptop, seq }: Mark): void {
    this.#ends.set(laptop, Math.max(seq, this.#ends.get(laptop) ?? 0));
  }

  isEmpty(): boolean {
    return this.#database.prepare('SELECT 1 FROM found LIMIT 1').get() === undefined;
  }

  /** For each laptop how far its chain holds, and what is beyond. */
  chains(): SavedChain[] {
    const laptops = this.#database.prepare('SELECT DISTINCT laptop FROM found').pluck().all() as string[];
    const all = [...new Set([...laptops, ...this.#ends.keys()])].sort();
    return all.map((laptop) => {
      let saved = 0;
      for (const _ of this.#chain(laptop)) saved += 1;
      const beyond = this.#database
        .prepare('SELECT DISTINCT seq FROM found WHERE laptop = ? AND seq > ? ORDER BY seq')
        .pluck()
        .iterate(laptop, saved) as IterableIterator<number>;
      const missing: { fromSeq: number; toSeq: number }[] = [];
      let next = saved + 1;
      let loose = 0;
      const gapTo = (seq: number) => {
        if (seq >= next) missing.push({ fromSeq: next, toSeq: seq });
      };
      for (const seq of beyond) {
        gapTo(seq - 1);
        loose += 1;
        next = seq + 1;
      }
      gapTo(this.#ends.get(laptop) ?? 0);
      return { laptop, saved, missing, loose };
    });
  }

  *saved(chains: readonly SavedChain[]): Generator<SealedEntry> {
    for (const { laptop } of chains) yield* this.#chain(laptop);
  }

  *looseLines(chains: readonly SavedChain[]): Generator<Uint8Array> {
    const after = this.#database.prepare(
      'SELECT hash, text FROM found WHERE laptop = ? AND seq > ? ORDER BY seq, hash',
    );
    for (const { laptop, saved } of chains) {
      for (const row of after.iterate(laptop, saved))
        yield new TextEncoder().encode(`${JSON.stringify(row)}\n`);
    }
  }

  /** From the first entry on, as far as each names the one before. Of rivals the one that goes on. */
  *#chain(laptop: string): Generator<SealedEntry> {
    const at = this.#database.prepare(
      'SELECT hash, text FROM found WHERE laptop = ? AND seq = ? AND prev = ?',
    );
    const follows = this.#database.prepare('SELECT 1 FROM found WHERE laptop = ? AND seq = ? AND prev = ?');
    let prev = noPrev;
    for (let seq = 1; ; seq++) {
      const rivals = at.all(laptop, seq, prev) as SealedEntry[];
      const next =
        rivals.length < 2
          ? rivals[0]
          : (rivals.find(({ hash }) => follows.get(laptop, seq + 1, hash) !== undefined) ?? rivals.at(-1));
      if (next === undefined) return;
      yield next;
      prev = next.hash;
    }
  }

  close(): void {
    this.#database.close();
  }
}

/** What an earlier salvage kept as loose. */
function isLines(path: string): boolean {
  return path.endsWith('.loose') && existsSync(path);
}

function* sealedLines(path: string): Generator<SealedEntry> {
  for (const line of localFiles.readText(path, maxLooseFileBytes).split('\n')) {
    try {
      const { hash, text } = JSON.parse(line) as Partial<SealedEntry>;
      if (typeof hash === 'string' && typeof text === 'string') yield { hash, text };
    } catch {
      // Not a line of ours: it would prove nothing.
    }
  }
}

function nothingFound(path: string): Failure {
  return new Failure({
    code: 'nothing-saved',
    exit: 7,
    summary: 'Not one entry could be read.',
    where: path,
    next: 'Use a back-up (slotproof record restore FILE), or what other laptops have (record take-in).',
  });
}
