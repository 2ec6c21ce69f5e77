// Chains that stand for others, with marks in place of names: what `record pack --no-names` packs. The hash of an entry
// covers the names in it, so an entry without them is another entry. It cannot carry the old hash either: whoever knows
// the rest could try out names until the hash agrees. So each chain is made anew, under a name of its own, whole in
// itself and provable in itself; that it says what the real one says, only its maker can show. Marks come from a key
// that stays in the workspace: the same name has the same mark in every packet, and nobody without the key can try names.
//
// Ids and hashes of entries that are named elsewhere (corrections, steps of a walk) are led to the new ones. Names that
// stand in fields of their own are replaced, and wherever they stand in free text, letter for letter; the folder of a card
// image file too. A name that is only ever written in free text stays.

import { noPrev, type SealedEntry, type StoredEntry } from '../../ports/record-rules.ts';
import type { Entry, JsonValue, Mark } from '../../ports/record-store.ts';
import { openEntry, sealEntry } from '../seal-entry.ts';
import type { People } from './people.ts';
import { replacingNames, standInOf } from './replace-names.ts';

export interface StandInSource {
  readonly key: Uint8Array;
  /** Of all chains that are to be packed. */
  readonly people: People;
  /** Ends of the chains as they are. */
  readonly marks: readonly Mark[];
  /** Ids of entries that others name by their hash. */
  readonly namedIds: ReadonlySet<string>;
  /** One chain, from its first entry to the mark. */
  chain(mark: Mark): AsyncIterable<StoredEntry>;
}

interface Chain {
  readonly entries: AsyncIterator<StoredEntry>;
  readonly laptop: string;
  next: Entry | undefined;
  seq: number;
  prev: string;
}

export interface StandIns {
  entries(): AsyncGenerator<SealedEntry>;
  /** Complete once the entries are read. */
  marks(): Mark[];
}

export function standIns({ key, people, marks, namedIds, chain }: StandInSource): StandIns {
  const ends: Mark[] = [];
  const laptops = new Map(marks.map(({ laptop }) => [laptop, standInOf(key, laptop)]));
  const replace = replacingNames(key, people);
  /** Old id -> old hash and new hash, of those that others name. */
  const made = new Map<string, { readonly was: string; readonly is: string }>();

  const newId = (id: string): string => {
    const at = id.lastIndexOf('-');
    const laptop = laptops.get(id.slice(0, at));
    return laptop === undefined ? id : `${laptop}${id.slice(at)}`;
  };

  /** An entry waits until the one that it names by its hash is made: that one lies before it in time. */
  function waitsFor({ kind, body }: Entry): string | undefined {
    const id = kind === 'correction' ? idNamed(body) : undefined;
    return id !== undefined &&
      namedIds.has(id) &&
      !made.has(id) &&
      laptops.has(id.slice(0, id.lastIndexOf('-')))
      ? id
      : undefined;
  }

  function standIn(entry: Entry, one: Chain): SealedEntry {
    const body = { ...replace.body(entry.body) } as Record<string, JsonValue | undefined>;
    if (typeof body.visit === 'string') body.visit = newId(body.visit);
    const named = entry.kind === 'correction' ? idNamed(entry.body) : undefined;
    if (named !== undefined) {
      const target = made.get(named);
      const { hash } = body.corrects as { readonly hash?: string };
      // One that named another entry than the one that is here goes on naming none.
      body.corrects = {
        id: newId(named),
        hash: target !== undefined && target.was === hash ? target.is : noPrev,
      };
    }
    const sealed = sealEntry(
      {
        kind: entry.kind,
        kindVersion: entry.kindVersion,
        claimedAt: entry.claimedAt,
        typedBy: replace.name(entry.typedBy),
        doneBy: replace.name(entry.doneBy),
        body: body as Entry['body'],
      },
      { laptop: laptops.get(entry.laptop) ?? '', seq: entry.seq, prev: one.prev, writtenAt: entry.writtenAt },
    );
    if (namedIds.has(entry.id)) made.set(entry.id, { was: entry.hash, is: sealed.hash });
    one.prev = sealed.hash;
    one.seq = entry.seq;
    return { text: sealed.text, hash: sealed.hash };
  }

  async function advance(one: Chain): Promise<void> {
    const { value, done } = await one.entries.next();
    one.next = done === true ? undefined : openEntry(value);
  }

  return {
    async *entries() {
      const chains: Chain[] = [];
      for (const mark of marks) {
        const entries = chain(mark)[Symbol.asyncIterator]();
        const one: Chain = { entries, laptop: mark.laptop, next: undefined, seq: 0, prev: noPrev };
        await advance(one);
        chains.push(one);
      }
      for (let isMoving = true; isMoving; ) {
        isMoving = false;
        for (const one of chains) {
          while (one.next !== undefined && waitsFor(one.next) === undefined) {
            yield standIn(one.next, one);
            isMoving = true;
            await advance(one);
          }
        }
      }
      // What is named does not come: it is beyond the end of its chain here. Named by nothing then.
      for (const one of chains) {
        while (one.next !== undefined) {
          yield standIn(one.next, one);
          await advance(one);
        }
      }
      for (const { laptop, seq, prev } of chains)
        if (seq > 0) ends.push({ laptop: laptops.get(laptop) ?? '', seq, hash: prev });
    },
    marks: () => ends,
  };
}

function idNamed(body: Entry['body']): string | undefined {
  const { corrects } = body as { readonly corrects?: { readonly id?: unknown } };
  return typeof corrects?.id === 'string' ? corrects.id : undefined;
}
