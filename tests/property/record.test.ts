// Whatever is written in whatever order: what the store keeps of each unit is what its entries add up to anew,
// and what a judge written apart makes of them; and every sealed text opens to what was put in.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { noPrev } from '../../src/ports/record-rules.ts';
import type { Entry, EntryQuery } from '../../src/ports/record-store.ts';
import { asCorrected } from '../../src/record/as-corrected.ts';
import { countedEntries } from '../../src/record/counted-entries.ts';
import { inClaimedOrder } from '../../src/record/entry-order.ts';
import { bodyFault } from '../../src/record/entry-schema.ts';
import { foldUnit } from '../../src/record/fold-unit.ts';
import { openEntry, sealEntry } from '../../src/record/seal-entry.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';
import { newYear, utc } from '../support/entries.ts';
import { aimed, correctedEntries, randomDrafts, randomEntries } from '../support/random-entries.ts';
import { checkSeeded } from '../support/seeded.ts';
import { sqlitePlace } from '../support/sqlite-place.ts';
import { judgeUnit } from './fold-judge.ts';

const file = 'tests/property/record.test.ts';

const ofUnit = (all: readonly Entry[], serial: string) => all.filter(({ body }) => body.serial === serial);

test('a unit added up is what the judge makes of its entries, in any order and as of any time', async () => {
  await checkSeeded(
    file,
    1500,
    fc.property(randomEntries, fc.nat(100), fc.infiniteStream(fc.nat()), (all, hours, shuffle) => {
      const beforeMs = hours === 100 ? Number.POSITIVE_INFINITY : newYear + hours * 3_600_000;
      for (const serial of ['A', 'B', 'C']) {
        const some = ofUnit(all, serial);
        const shuffled = [...some].sort(() => (shuffle.next().value % 2 === 0 ? -1 : 1));
        expect(foldUnit(shuffled, beforeMs)).toEqual(judgeUnit(some, beforeMs));
      }
    }),
  );
});

const wrongFolds: Readonly<Record<string, (all: readonly Entry[]) => unknown>> = {
  'leaves moves out': (all) => foldUnit(all.filter(({ kind }) => kind !== 'unit-moved')),
  'leaves corrections out': (all) => foldUnit(all.filter(({ kind }) => kind !== 'correction')),
  'lets the correction of another hash count': (all) =>
    foldUnit(
      all.map((entry) => {
        const { corrects } = entry.body as { corrects?: { id: string } };
        const meant = all.find(({ id }) => id === corrects?.id);
        if (meant === undefined) return entry;
        return { ...entry, body: { ...entry.body, corrects: { id: meant.id, hash: meant.hash } } };
      }),
    ),
  'lets the rival count that was written first': (all) =>
    foldUnit(
      all.map((entry) => (entry.kind === 'correction' ? { ...entry, writtenMs: -entry.writtenMs } : entry)),
    ),
};

test('a unit that is corrected over and over is what the judge makes of it', async () => {
  await checkSeeded(
    file,
    1500,
    fc.property(correctedEntries, (all) => {
      const some = ofUnit(all, 'A');
      expect(foldUnit(some)).toEqual(judgeUnit(some, Number.POSITIVE_INFINITY));
    }),
  );
});

test.each(Object.entries(wrongFolds))('the judge sees a fold that %s', (_, wrong) => {
  const found = fc.check(
    fc.property(correctedEntries, (all) => {
      for (const serial of ['A', 'B', 'C']) {
        const some = ofUnit(all, serial);
        expect(wrong(some)).toEqual(judgeUnit(some, Number.POSITIVE_INFINITY));
      }
    }),
    { numRuns: 3000 },
  );
  expect(found.failed).toBe(true);
});

test('entries of a kind and a time as they count are those that a look at all of them finds', async () => {
  await checkSeeded(
    file,
    800,
    fc.asyncProperty(
      randomEntries,
      fc.constantFrom('outcome' as const, 'unit-added' as const, 'card-prepared' as const),
      fc.nat(100),
      fc.nat(100),
      async (all, kind, from, to) => {
        const window = {
          claimedFromMs: newYear + from * 3_600_000,
          claimedBeforeMs: newYear + to * 3_600_000,
        };
        const within = ({ claimedMs }: Entry) =>
          claimedMs >= window.claimedFromMs && claimedMs < window.claimedBeforeMs;
        const source = {
          entry: async (wanted: string) => all.find(({ id }) => id === wanted),
          async *entries(query: EntryQuery) {
            if (!('kind' in query)) throw new Error('by kind alone');
            const some = inClaimedOrder(all.filter((entry) => entry.kind === query.kind));
            yield* query.claimedFromMs === undefined ? some : some.filter(within);
          },
        };
        const counted: Entry[] = [];
        for await (const entry of countedEntries(source, { kind, ...window })) counted.push(entry);
        const expected = inClaimedOrder(asCorrected(all)).filter(
          (entry) => entry.kind === kind && within(entry),
        );
        expect(counted).toEqual(expected);
      },
    ),
  );
});

test('what the store keeps is what a rebuild makes, and its chain is intact', async () => {
  await checkSeeded(
    file,
    60,
    fc.asyncProperty(fc.array(randomDrafts, { maxLength: 5 }), async (batches) => {
      const place = sqlitePlace();
      try {
        const store = place.open();
        const states = async () => {
          const found = new Map<string, unknown>();
          for await (const unit of store.units({ retired: 'with' })) found.set(unit.serial, unit);
          return found;
        };
        for (const drafts of batches) {
          const before: Entry[] = [];
          for await (const entry of store.entries({ laptop: store.laptop })) before.push(entry);
          await store.append(drafts.map((draft) => aimed(draft, before)));
        }
        const kept = await states();
        for (const serial of ['A', 'B', 'C']) {
          const some: Entry[] = [];
          for await (const entry of store.entries({ serial })) some.push(entry);
          const judged = some.length === 0 ? undefined : judgeUnit(some, Number.POSITIVE_INFINITY);
          expect(kept.get(serial)).toEqual(judged);
        }
        expect((await store.check()).findings.filter(({ severity }) => severity === 'stop')).toEqual([]);
        expect((await store.rebuild()).differed).toEqual([]);
        expect(await states()).toEqual(kept);
      } finally {
        place.remove();
      }
    }),
  );
});

test('sealed and opened it is the same, and of the published form', async () => {
  await checkSeeded(
    file,
    500,
    fc.property(randomDrafts, (drafts) => {
      for (const draft of drafts) {
        const place = { laptop: 'aaaaaaaa', seq: 1, prev: noPrev, writtenAt: formatLocalTime(newYear, utc) };
        const sealed = sealEntry(draft, place);
        expect(openEntry(sealed)).toMatchObject({ ...draft, ...place });
        expect(sealEntry(openEntry(sealed)!, place)).toEqual(sealed);
        expect(bodyFault(draft.kind, draft.body)).toBeUndefined();
      }
    }),
  );
});
