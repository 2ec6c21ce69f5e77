// Moves entries between this laptop's record and the server's, a batch at a time: each is whole on its disk before the
// next is asked for, so whatever breaks off goes on from there. What is moved is proved again by the side that takes it.

import type { ServerRecord } from '../../ports/office-server.ts';
import type { SealedEntry } from '../../ports/record-rules.ts';
import type { RecordStore, TakenIn } from '../../ports/record-store.ts';
import { bodyFault } from '../../record/entry-schema.ts';
import { openEntry } from '../../record/seal-entry.ts';
import type { UnitRecord } from '../../record/unit-record.ts';
import type { ChainDifference } from './compare-chains.ts';

/** As much as is sent or asked for again where the connection breaks off. */
const batchEntries = 1000;
const batchCharacters = 4_000_000;

export interface Moved {
  readonly taken: readonly TakenIn[];
  /** Entries whose body is not of the form of its kind: not taken, nor what follows. */
  readonly misformed: readonly { readonly id: string; readonly fault: string }[];
}

/** `onBatch`: how many entries of the chain are there now. Stops where the other side takes no more. */
export async function moveChain(
  from: RecordStore<UnitRecord> | ServerRecord<UnitRecord>,
  to: RecordStore<UnitRecord> | ServerRecord<UnitRecord>,
  { laptop, fromSeq, toSeq }: { readonly laptop: string; readonly fromSeq: number; readonly toSeq: number },
  onBatch: (count: number) => void,
): Promise<Moved> {
  const taken: TakenIn[] = [];
  let batch: SealedEntry[] = [];
  let length = 0;
  const store = async () => {
    const result = await to.takeIn(batch);
    batch = [];
    length = 0;
    taken.push(result);
    onBatch(result.added + result.known);
    return result.held === 0;
  };
  for await (const { text, hash } of from.sealed({ laptop, fromSeq, toSeq })) {
    const entry = openEntry({ text, hash });
    const fault = entry === undefined ? undefined : bodyFault(entry.kind, entry.body);
    if (entry !== undefined && fault !== undefined) {
      if (batch.length > 0) await store();
      return { taken, misformed: [{ id: entry.id, fault }] };
    }
    batch.push({ text, hash });
    length += text.length;
    if (batch.length < batchEntries && length < batchCharacters) continue;
    if (!(await store())) return { taken, misformed: [] };
  }
  if (batch.length > 0) await store();
  return { taken, misformed: [] };
}

/** Entries to be sent and to be fetched, all chains together. */
export function amountOf(differences: readonly ChainDifference[]): number {
  return differences.reduce(
    (sum, { kind, hereSeq, thereSeq }) => (kind === 'split' ? sum : sum + Math.abs(hereSeq - thereSeq)),
    0,
  );
}
