// Others' entries are stored as they came, one batch a transaction, with their marks and the units they touch.
// A chain stays whole: nothing is stored whose predecessor is not here, and after a refusal or a split nothing
// more of that chain is. Does not read packets; what an entry is, the rules say.

import type Database from 'better-sqlite3';
import { noPrev, type RecordRules, type SealedEntry, type StoredEntry } from '../../../ports/record-rules.ts';
import type { Refusal, Split, TakenIn } from '../../../ports/record-store.ts';
import type { UnitTable } from './unit-table.ts';

const maxUnreadable = 100;

interface ChainEnd {
  seq: number;
  hash: string;
}

export interface TakeInParts<Unit> {
  /** This computer's own chain: never grows here. */
  readonly own: string;
  readonly rules: RecordRules<Unit>;
  readonly units: UnitTable<Unit>;
  endOf(laptop: string): ChainEnd;
}

/** What has been counted so far. Where a batch fails, the whole call fails with it. */
interface Tally {
  added: number;
  known: number;
  held: number;
  position: number;
  readonly splits: Map<string, Split>;
  readonly refused: Map<string, Refusal>;
  readonly unreadable: Refusal[];
}

export class TakeIn<Unit> {
  readonly #database: Database.Database;
  readonly #parts: TakeInParts<Unit>;
  readonly #insert: Database.Statement;
  readonly #hashAt: Database.Statement;
  readonly #note: Database.Statement;
  readonly #tally: Tally = {
    added: 0,
    known: 0,
    held: 0,
    position: 0,
    splits: new Map(),
    refused: new Map(),
    unreadable: [],
  };

  constructor(database: Database.Database, parts: TakeInParts<Unit>) {
    this.#database = database;
    this.#parts = parts;
    this.#insert = database.prepare(
      `INSERT INTO entries (laptop, seq, kind, serial, claimed_ms, written_ms, hash, text)
       VALUES (@laptop, @seq, @kind, @serial, @claimedMs, @writtenMs, @hash, @text)`,
    );
    this.#hashAt = database.prepare('SELECT hash FROM entries WHERE laptop = ? AND seq = ?').pluck();
    this.#note = database.prepare(
      'INSERT INTO marks (laptop, seq, hash) VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET seq = excluded.seq, hash = excluded.hash',
    );
  }

  /** One batch, all of it in one transaction. */
  store(batch: readonly SealedEntry[]): void {
    this.#database.transaction(() => this.#storeAll(batch)).immediate();
  }

  result(): TakenIn {
    const { added, known, held, splits, refused, unreadable } = this.#tally;
    return {
      added,
      known,
      held,
      splits: [...splits.values()],
      refused: [...refused.values(), ...unreadable],
    };
  }

  #storeAll(batch: readonly SealedEntry[]): void {
    const ends = new Map<string, ChainEnd>();
    const grown = new Set<string>();
    const touched = new Set<string>();
    for (const sealed of batch) {
      this.#tally.position += 1;
      const received = this.#parts.rules.receive(sealed);
      if ('fault' in received) {
        this.#refuse({ reason: received.fault, position: this.#tally.position });
        continue;
      }
      const { stored, prev } = received;
      let end = ends.get(stored.laptop);
      if (end === undefined) {
        end = { ...this.#parts.endOf(stored.laptop) };
        ends.set(stored.laptop, end);
      }
      if (!this.#admits(stored, prev, end)) continue;
      this.#insert.run(stored);
      this.#tally.added += 1;
      end.seq = stored.seq;
      end.hash = stored.hash;
      grown.add(stored.laptop);
      if (stored.serial !== null) touched.add(stored.serial);
    }
    for (const laptop of grown) {
      const { seq, hash } = ends.get(laptop)!;
      this.#note.run(laptop, seq, hash);
    }
    for (const serial of touched) this.#parts.units.addUp(serial);
  }

  /** Whether it is the next of its chain; tells what it is where it is not. */
  #admits({ laptop, seq, hash }: StoredEntry, prev: string, end: ChainEnd): boolean {
    const tally = this.#tally;
    if (tally.splits.has(laptop) || tally.refused.has(laptop)) {
      tally.held += 1;
      return false;
    }
    if (seq <= end.seq) {
      const ours = this.#hashAt.get(laptop, seq) as string;
      if (ours === hash) tally.known += 1;
      else this.#split({ laptop, seq, ours, theirs: hash });
      return false;
    }
    const refusal = { id: `${laptop}-${seq}`, position: tally.position };
    if (seq > end.seq + 1) {
      this.#refuse({ ...refusal, reason: 'gap' }, laptop);
      return false;
    }
    if (prev !== end.hash) {
      // It follows another entry than the one that stands here: the chains part at that place. The first has none.
      if (end.hash === noPrev) this.#refuse({ ...refusal, reason: 'gap' }, laptop);
      else this.#split({ laptop, seq: end.seq, ours: end.hash, theirs: prev });
      return false;
    }
    if (laptop === this.#parts.own) {
      this.#refuse({ ...refusal, reason: 'own-ahead' }, laptop);
      return false;
    }
    return true;
  }

  #split(split: Split): void {
    this.#tally.held += 1;
    this.#tally.splits.set(split.laptop, split);
  }

  #refuse(refusal: Refusal, laptop?: string): void {
    const { refused, unreadable } = this.#tally;
    this.#tally.held += 1;
    if (laptop !== undefined) refused.set(laptop, refusal);
    else if (unreadable.length < maxUnreadable) unreadable.push(refusal);
  }
}
