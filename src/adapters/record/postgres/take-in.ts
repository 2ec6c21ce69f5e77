// Entries are stored as they came, one batch a transaction, the units they touch with them. A chain stays whole: nothing
// is stored whose predecessor is not here, and after a refusal or a split nothing more of that chain is. The server
// checks the same again. Does not read packets; what is admitted, `admission.ts` says.

import {
  noPrev,
  type ReceivedEntry,
  type RecordRules,
  type SealedEntry,
  type StoredEntry,
} from '../../../ports/record-rules.ts';
import type { TakenIn } from '../../../ports/record-store.ts';
import { Admission, type ChainEnd } from '../admission.ts';
import type { Queries } from './connection.ts';

export interface TakeInParts<Unit> {
  /** The chain that only this store itself extends; undefined where it takes in all of them. */
  readonly own: string | undefined;
  readonly rules: RecordRules<Unit>;
  /** Where chains end, held against others until the transaction is over. */
  hold(queries: Queries, laptops: readonly string[]): Promise<Map<string, ChainEnd>>;
  store(queries: Queries, entries: readonly StoredEntry[]): Promise<void>;
}

export class TakeIn<Unit> {
  readonly #parts: TakeInParts<Unit>;
  #admission: Admission<Unit>;

  constructor(parts: TakeInParts<Unit>) {
    this.#parts = parts;
    this.#admission = new Admission(parts.rules, parts.own);
  }

  result(): TakenIn {
    return this.#admission.result();
  }

  /** One batch, within a transaction that may be begun again: what was counted in vain is forgotten. */
  async store(queries: Queries, batch: readonly SealedEntry[]): Promise<{ keep(): void }> {
    const { rules, hold, store } = this.#parts;
    const admission = this.#admission.copy();
    const received = batch.map((sealed) => rules.receive(sealed));
    const places = placesIn(received);
    const laptops = [...places.keys()].sort();
    const ends = await hold(queries, laptops);
    const hashes = new Map<string, string>();
    for (const [laptop, seqs] of places) {
      const end = ends.get(laptop)?.seq ?? 0;
      const here = seqs.filter((seq) => seq <= end);
      if (here.length === 0) continue;
      for (const { seq, hash } of await queries.all('hashesAt', { laptop, seqs: here }))
        hashes.set(`${laptop}-${seq}`, hash);
    }
    const here = {
      endOf: (laptop: string) => ends.get(laptop) ?? { seq: 0, hash: noPrev },
      hashAt: (laptop: string, seq: number) => hashes.get(`${laptop}-${seq}`) ?? '',
    };
    const next = [...admission.admitReceived(received, here)];
    if (next.length > 0) await store(queries, next);
    return {
      keep: () => {
        this.#admission = admission;
      },
    };
  }
}

/** The places of each chain that a batch speaks of. */
function placesIn(batch: readonly ReceivedEntry[]): Map<string, number[]> {
  const places = new Map<string, number[]>();
  for (const received of batch) {
    if ('fault' in received) continue;
    const { laptop, seq } = received.stored;
    const seqs = places.get(laptop);
    if (seqs === undefined) places.set(laptop, [seq]);
    else seqs.push(seq);
  }
  return places;
}
