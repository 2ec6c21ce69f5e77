// Moves entries between this laptop's record and the server's, a batch at a time: each is whole on its disk before the
// next is asked for, so whatever breaks off goes on from there. What is moved is proved again by the side that takes it.

import type { SealedEntry } from '../../ports/record-rules.ts';
import type { RecordStore, TakenIn } from '../../ports/record-store.ts';
import { bodyFault } from '../../record/entry-schema.ts';
import { openEntry } from '../../record/seal-entry.ts';
import type { UnitRecord } from '../../record/unit-record.ts';
import type { ChainDifference } from './compare-chains.ts';

/** As much as is sent or asked for again where the connection breaks off. */
const mostEntries = 1000;
const fewestEntries = 20;

/** On a bad line less at a time, so that something gets through between two breaks. */
export function batchLength(lostInVain: number): number {
  return Math.max(fewestEntries, Math.floor(mostEntries / 8 ** lostInVain));
}

export interface Moved {
  readonly taken: readonly TakenIn[];
  /** Entries whose body is not of the form of its kind: not taken, nor what follows. */
  readonly misformed: readonly { readonly id: string; readonly fault: string }[];
}

export interface ChainRange {
  readonly laptop: string;
  readonly fromSeq: number;
  readonly toSeq: number;
  readonly batchEntries: number;
  /** Of what comes from elsewhere. What this laptop has goes out as it is: it may be nowhere else. */
  readonly checkForm: boolean;
}

/** `onBatch`: how many more entries of the chain are there now. Stops where the other side takes no more. */
export async function moveChain(
  from: RecordStore<UnitRecord>,
  to: RecordStore<UnitRecord>,
  { laptop, fromSeq, toSeq, batchEntries, checkForm }: ChainRange,
  onBatch: (count: number) => void,
): Promise<Moved> {
  const taken: TakenIn[] = [];
  for (let at = fromSeq; at <= toSeq; at += batchEntries) {
    const last = Math.min(toSeq, at + batchEntries - 1);
    const { batch, misformed } = await readBatch(
      from.sealed({ laptop, fromSeq: at, toSeq: last }),
      checkForm,
    );
    const result = await to.takeIn(batch);
    taken.push(result);
    onBatch(result.added + result.known);
    if (misformed.length > 0 || result.held > 0) return { taken, misformed };
  }
  return { taken, misformed: [] };
}

async function readBatch(
  entries: AsyncIterable<SealedEntry>,
  checkForm: boolean,
): Promise<{ readonly batch: readonly SealedEntry[]; readonly misformed: Moved['misformed'] }> {
  const batch: SealedEntry[] = [];
  for await (const { text, hash } of entries) {
    const entry = checkForm ? openEntry({ text, hash }) : undefined;
    const fault = entry === undefined ? undefined : bodyFault(entry.kind, entry.body);
    if (entry !== undefined && fault !== undefined) return { batch, misformed: [{ id: entry.id, fault }] };
    batch.push({ text, hash });
  }
  return { batch, misformed: [] };
}

/** Entries to be sent and to be fetched, all chains together. */
export function amountOf(differences: readonly ChainDifference[]): number {
  return differences.reduce(
    (sum, { kind, hereSeq, thereSeq }) => (kind === 'split' ? sum : sum + Math.abs(hereSeq - thereSeq)),
    0,
  );
}
