// Two records chain by chain: who has more of each, and where they part. Asks for hashes alone; moves nothing.

import type { Mark, RecordStore } from '../../ports/record-store.ts';
import { entryId } from '../../record/seal-entry.ts';

export interface ChainDifference {
  readonly laptop: string;
  readonly kind: 'same' | 'more-here' | 'more-there' | 'split';
  /** Where it ends here and there; 0: no entry. */
  readonly hereSeq: number;
  readonly thereSeq: number;
  /** Of a split: the first place where they differ, and both hashes. */
  readonly parting?: { readonly seq: number; readonly ours: string; readonly theirs: string };
}

/** Only an entry at a place is asked for. */
export type Chains = Pick<RecordStore<unknown>, 'entry'>;

export async function compareChains(
  here: { readonly store: Chains; readonly marks: readonly Mark[] },
  there: { readonly store: Chains; readonly marks: readonly Mark[] },
): Promise<ChainDifference[]> {
  const [ours, theirs] = [byLaptop(here.marks), byLaptop(there.marks)];
  const laptops = [...new Set([...ours.keys(), ...theirs.keys()])].sort();
  const found: ChainDifference[] = [];
  for (const laptop of laptops) {
    const [our, their] = [ours.get(laptop), theirs.get(laptop)];
    const [hereSeq, thereSeq] = [our?.seq ?? 0, their?.seq ?? 0];
    const ends = { laptop, hereSeq, thereSeq };
    const shorter = Math.min(hereSeq, thereSeq);
    const hashHere = await hashAt(here.store, our, laptop, shorter);
    const hashThere = await hashAt(there.store, their, laptop, shorter);
    if (hashHere !== hashThere) {
      found.push({
        ...ends,
        kind: 'split',
        parting: await partingOf(here.store, there.store, laptop, shorter),
      });
    } else {
      const kind = hereSeq === thereSeq ? 'same' : hereSeq > thereSeq ? 'more-here' : 'more-there';
      found.push({ ...ends, kind });
    }
  }
  return found;
}

const byLaptop = (marks: readonly Mark[]) => new Map(marks.map((mark) => [mark.laptop, mark]));

async function hashAt(
  store: Chains,
  end: Mark | undefined,
  laptop: string,
  seq: number,
): Promise<string | undefined> {
  if (seq === 0) return undefined;
  if (end?.seq === seq) return end.hash;
  return (await store.entry(entryId(laptop, seq)))?.hash;
}

/** Chains that differ at one place differ at all later ones: the first is found by halving. */
async function partingOf(here: Chains, there: Chains, laptop: string, knownToDiffer: number) {
  let [same, differs] = [0, knownToDiffer];
  const hashes = async (seq: number) => {
    const id = entryId(laptop, seq);
    return { ours: (await here.entry(id))?.hash ?? '', theirs: (await there.entry(id))?.hash ?? '' };
  };
  while (differs - same > 1) {
    const middle = Math.floor((same + differs) / 2);
    const { ours, theirs } = await hashes(middle);
    if (ours === theirs) same = middle;
    else differs = middle;
  }
  return { seq: differs, ...(await hashes(differs)) };
}
