// Which of the entries that come from elsewhere are the next of their chains, and what is told of the others. The same
// on every engine; knows neither: where a chain ends, and what stands at a place of it, the stores say.

import {
  noPrev,
  type ProvedEntry,
  type ReceivedEntry,
  type RecordRules,
  type SealedEntry,
  type StoredEntry,
} from '../../ports/record-rules.ts';
import type { Refusal, Split, TakenIn } from '../../ports/record-store.ts';

const maxUnreadable = 100;

export interface ChainEnd {
  readonly seq: number;
  readonly hash: string;
}

/** As a store knows its chains while it takes in a batch. */
export interface ChainsHere {
  endOf(laptop: string): ChainEnd;
  /** Of a place up to that end. */
  hashAt(laptop: string, seq: number): string;
}

/** Counts over a whole call. Where a batch fails, the call fails with it. */
export class Admission<Unit> {
  readonly #rules: RecordRules<Unit>;
  readonly #own: string | undefined;
  #added = 0;
  #known = 0;
  #held = 0;
  #position = 0;
  readonly #splits = new Map<string, Split>();
  readonly #refused = new Map<string, Refusal>();
  readonly #unreadable: Refusal[] = [];

  /** `own`: the chain that only the store itself extends, where it has one. */
  constructor(rules: RecordRules<Unit>, own: string | undefined) {
    this.#rules = rules;
    this.#own = own;
  }

  /** For a transaction that may have to be begun again. */
  copy(): Admission<Unit> {
    const made = new Admission(this.#rules, this.#own);
    made.#added = this.#added;
    made.#known = this.#known;
    made.#held = this.#held;
    made.#position = this.#position;
    for (const [laptop, split] of this.#splits) made.#splits.set(laptop, split);
    for (const [laptop, refusal] of this.#refused) made.#refused.set(laptop, refusal);
    made.#unreadable.push(...this.#unreadable);
    return made;
  }

  /** What is to be stored of a batch, in order; all of it follows what is here. Holds one entry at a time. */
  *admit(batch: Iterable<SealedEntry | ProvedEntry>, here: ChainsHere): Generator<StoredEntry> {
    const rules = this.#rules;
    function* received() {
      for (const entry of batch) yield 'stored' in entry ? entry : rules.receive(entry);
    }
    yield* this.admitReceived(received(), here);
  }

  /** The same of entries that the rules have looked at already. */
  *admitReceived(batch: Iterable<ReceivedEntry>, here: ChainsHere): Generator<StoredEntry> {
    const ends = new Map<string, ChainEnd>();
    for (const received of batch) {
      this.#position += 1;
      if ('fault' in received) {
        this.#refuse({ reason: received.fault, position: this.#position });
        continue;
      }
      const { stored, prev } = received;
      const end = ends.get(stored.laptop) ?? here.endOf(stored.laptop);
      if (this.#follows(stored, prev, end, here)) {
        this.#added += 1;
        ends.set(stored.laptop, { seq: stored.seq, hash: stored.hash });
        yield stored;
      } else {
        ends.set(stored.laptop, end);
      }
    }
  }

  /** Whether it is the next of its chain; tells what it is where it is not. */
  #follows(stored: StoredEntry, prev: string, end: ChainEnd, here: ChainsHere): boolean {
    const { laptop, seq, hash } = stored;
    if (this.#splits.has(laptop) || this.#refused.has(laptop)) {
      this.#held += 1;
      return false;
    }
    if (seq <= end.seq) {
      const ours = seq === end.seq ? end.hash : here.hashAt(laptop, seq);
      if (ours === hash) this.#known += 1;
      else this.#split({ laptop, seq, ours, theirs: hash });
      return false;
    }
    const refusal = { id: `${laptop}-${seq}`, position: this.#position };
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
    if (laptop === this.#own) {
      this.#refuse({ ...refusal, reason: 'own-ahead' }, laptop);
      return false;
    }
    return true;
  }

  #split(split: Split): void {
    this.#held += 1;
    this.#splits.set(split.laptop, split);
  }

  #refuse(refusal: Refusal, laptop?: string): void {
    this.#held += 1;
    if (laptop !== undefined) this.#refused.set(laptop, refusal);
    else if (this.#unreadable.length < maxUnreadable) this.#unreadable.push(refusal);
  }

  result(): TakenIn {
    return {
      added: this.#added,
      known: this.#known,
      held: this.#held,
      splits: [...this.#splits.values()],
      refused: [...this.#refused.values(), ...this.#unreadable],
    };
  }
}
