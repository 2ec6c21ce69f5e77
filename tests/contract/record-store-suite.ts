// What every record store must do, whatever stands behind it. A new store is added by one file that calls this.

import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { sha256Hex } from '../../src/bytes/sha256.ts';
import { noPrev, type StoredEntry } from '../../src/ports/record-rules.ts';
import type { EntryDraft, EntryQuery, RecordStore, UnitFilter } from '../../src/ports/record-store.ts';
import { draftEntry, type EntryBodies, type EntryKind } from '../../src/record/entry.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import type { UnitRecord } from '../../src/record/unit-record.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';
import { chainOf, day, newYear, utc } from '../support/entries.ts';

type Store = RecordStore<UnitRecord>;

export interface StorePlace {
  /** Opens the same record again; another connection where one is open already. */
  open(): Store | Promise<Store>;
  remove(): void | Promise<void>;
}

export function recordStoreSuite(name: string, makePlace: () => StorePlace | Promise<StorePlace>): void {
  describe(`a record store: ${name}`, () => {
    let place: StorePlace;
    let store: Store;
    beforeEach(async () => {
      place = await makePlace();
      store = await place.open();
    });
    afterEach(() => place.remove());

    const draft = <K extends EntryKind>(kind: K, body: EntryBodies[K], atMs = newYear): EntryDraft =>
      draftEntry(kind, { claimedAt: formatLocalTime(atMs, utc), typedBy: 'R. Quill' }, body);
    const added = (serial: string, more: Partial<EntryBodies['unit-added']> = {}) =>
      draft('unit-added', {
        serial,
        product: 'rill-40',
        hardware: 'B',
        site: 'Alder Farm',
        details: {},
        ...more,
      });
    const read = (serial: string, versionRead: string, atMs: number) =>
      draft('outcome', { serial, outcome: 'updated', evidence: 'read', versionRead }, atMs);

    async function serials(filter?: UnitFilter): Promise<string[]> {
      const found: string[] = [];
      for await (const unit of store.units(filter)) found.push(unit.serial);
      return found;
    }
    async function ids(query: EntryQuery): Promise<string[]> {
      const found: string[] = [];
      for await (const entry of store.entries(query)) found.push(entry.id);
      return found;
    }
    const own = (...seqs: number[]) => seqs.map((seq) => `${store.laptop}-${seq}`);

    test('empty', async () => {
      expect(await store.counts()).toEqual({ entries: 0, units: 0, laptops: 0 });
      expect(await store.marks()).toEqual([]);
      expect(await store.unit('A')).toBeUndefined();
      expect(await serials()).toEqual([]);
      expect(await store.append([])).toEqual([]);
      expect(await store.check()).toMatchObject({ entries: 0, findings: [] });
    });

    test('entries get their place in the chain, and are found by it', async () => {
      const [first, second] = await store.append([added('A'), added('B')]);
      const [third] = await store.append([read('A', '4.0.0', newYear + day)]);
      expect([first!.id, second!.id, third!.id]).toEqual(own(1, 2, 3));
      const entry = await store.entry(third!.id);
      expect(entry).toMatchObject({ ...third, prev: second!.hash, typedBy: 'R. Quill', doneBy: 'R. Quill' });
      expect((await store.entry(first!.id))?.prev).toBe(noPrev);
      expect(await store.marks()).toEqual([{ laptop: store.laptop, seq: 3, hash: third!.hash }]);
      for (const id of [
        '',
        'x',
        `${store.laptop}-4`,
        `${store.laptop}-0`,
        `${store.laptop}-1.5`,
        'other-1',
      ]) {
        expect(await store.entry(id), id).toBeUndefined();
      }
    });

    test('what units add up to is there with the entries', async () => {
      await store.append([added('A', { site: 'Birch' })]);
      expect(await store.unit('A')).toMatchObject({ site: 'Birch', version: null });
      await store.append([
        read('A', '4.0.0', newYear + day),
        draft('unit-changed', { serial: 'A', site: 'Cedar' }),
      ]);
      expect(await store.unit('A')).toMatchObject({ site: 'Cedar', version: { version: '4.0.0' } });
    });

    test('entries of a unit that is not registered wait for its registration', async () => {
      await store.append([read('A', '4.0.0', newYear)]);
      expect(await store.unit('A')).toBeUndefined();
      expect((await store.check()).findings).toEqual([]);
      await store.append([added('A')]);
      expect(await store.unit('A')).toMatchObject({ version: { version: '4.0.0' } });
    });

    test('entries by unit, laptop and kind', async () => {
      await store.append([
        added('A'),
        added('B'),
        read('A', '4.0.0', newYear + 3 * day),
        read('A', '3.0.0', newYear + 2 * day),
        read('B', '3.0.0', newYear + 2 * day),
      ]);
      expect(await ids({ serial: 'A' })).toEqual(own(1, 4, 3));
      expect(await ids({ serial: 'none' })).toEqual([]);
      expect(await ids({ laptop: store.laptop })).toEqual(own(1, 2, 3, 4, 5));
      expect(await ids({ laptop: store.laptop, fromSeq: 2, toSeq: 3 })).toEqual(own(2, 3));
      expect(await ids({ laptop: 'other' })).toEqual([]);
      expect(await ids({ kind: 'outcome' })).toEqual(own(4, 5, 3));
      expect(await ids({ kind: 'outcome', claimedFromMs: newYear + 3 * day })).toEqual(own(3));
      expect(await ids({ kind: 'outcome', claimedBeforeMs: newYear + 3 * day })).toEqual(own(4, 5));
    });

    test('many entries come in full and in order, page after page', async () => {
      const many = Array.from({ length: 1203 }, (_, i) => read('A', String(i), newYear + (i % 7) * 1000));
      await store.append([added('A'), ...many]);
      const byLaptop = await ids({ laptop: store.laptop });
      expect(byLaptop).toEqual(own(...Array.from({ length: 1204 }, (_, i) => i + 1)));
      for (const query of [{ serial: 'A' }, { kind: 'outcome' }]) {
        let last = Number.NEGATIVE_INFINITY;
        const seen = new Set<string>();
        for await (const entry of store.entries(query)) {
          expect(entry.claimedMs).toBeGreaterThanOrEqual(last);
          last = entry.claimedMs;
          seen.add(entry.id);
        }
        expect(seen.size).toBe('serial' in query ? 1204 : 1203);
      }
    });

    test('units sorted by serial, filtered, page after page', async () => {
      const many = Array.from({ length: 1100 }, (_, i) =>
        added(`U${String(i).padStart(5, '0')}`, { site: `Farm ${i % 2}` }),
      );
      await store.append(many.reverse());
      await store.append([
        added('V1', { product: 'lume-2', site: null }),
        draft('unit-retired', { serial: 'U00000' }),
      ]);
      const all = await serials();
      expect(all).toHaveLength(1100);
      expect(all).toEqual([...all].sort());
      expect(await serials({ site: 'Farm 0' })).toHaveLength(549);
      expect(await serials({ site: 'Farm 0', retired: 'with' })).toHaveLength(550);
      expect(await serials({ retired: 'only' })).toEqual(['U00000']);
      expect(await serials({ product: 'lume-2' })).toEqual(['V1']);
      expect(await serials({ product: 'lume-2', site: 'Farm 0' })).toEqual([]);
      expect(await store.serialsFrom(['', 'U', 'U00003', 'U000030', 'V1', 'V10', 'a'])).toEqual([
        ...['U00000', 'U00000', 'U00003', 'U00004', 'V1'],
        ...[null, null],
      ]);
      expect(await store.serialsFrom([])).toEqual([]);
      expect(await store.sites()).toEqual(['Farm 0', 'Farm 1']);
      expect(await store.counts()).toMatchObject({ units: 1101 });
    });

    test('as of an earlier time', async () => {
      await store.append([
        added('A', { site: 'Birch' }),
        read('A', '4.0.0', newYear + day),
        read('A', '4.2.0', newYear + 3 * day),
        draft('unit-changed', { serial: 'A', site: 'Cedar' }, newYear + 3 * day),
        added('B'),
      ]);
      const asOf = async (claimedBeforeMs: number, filter: UnitFilter = {}) => {
        const found: [string, string | undefined][] = [];
        for await (const unit of store.units({ ...filter, claimedBeforeMs }))
          found.push([unit.serial, unit.version?.version]);
        return found;
      };
      expect(await asOf(newYear + day)).toEqual([
        ['A', undefined],
        ['B', undefined],
      ]);
      expect(await asOf(newYear + 3 * day)).toEqual([
        ['A', '4.0.0'],
        ['B', undefined],
      ]);
      expect(await asOf(newYear + 9 * day)).toEqual([
        ['A', '4.2.0'],
        ['B', undefined],
      ]);
      expect(await asOf(newYear + 3 * day, { site: 'Birch' })).toEqual([['A', '4.0.0']]);
      expect(await asOf(newYear + 9 * day, { site: 'Birch' })).toEqual([]);
    });

    test('all drafts or none', async () => {
      await store.append([added('A')]);
      const before = await store.marks();
      await expect(
        store.append([added('B'), { ...added('C'), typedBy: '\ud800' }, added('D')]),
      ).rejects.toThrow(TypeError);
      expect(await store.marks()).toEqual(before);
      expect(await serials()).toEqual(['A']);
      await store.append([added('B')]);
      expect((await store.check()).findings).toEqual([]);
    });

    test('drafts one by one, in one go: all of them, or none where they end in an error', async () => {
      await store.append([added('A')]);
      const before = await store.marks();
      async function* some(serials: readonly string[], fault?: Error) {
        for (const serial of serials) {
          // The store may be asked meanwhile.
          expect(await store.unit('A')).toMatchObject({ serial: 'A' });
          yield added(serial);
          yield read(serial, '4.0.0', newYear + day);
        }
        if (fault !== undefined) throw fault;
      }
      await expect(store.appendEach(some(['B', 'C'], new Error('the table ends')))).rejects.toThrow(
        'the table ends',
      );
      await expect(store.appendEach(some(['B', '\ud800']))).rejects.toThrow(TypeError);
      expect(await store.marks()).toEqual(before);
      expect(await serials()).toEqual(['A']);

      expect(await store.appendEach(some([]))).toBe(0);
      expect(await store.marks()).toEqual(before);
      expect(await store.appendEach(some(['B', 'C']))).toBe(4);
      await store.append([added('D')]);
      expect(await serials()).toEqual(['A', 'B', 'C', 'D']);
      expect(await store.unit('C')).toMatchObject({ version: { version: '4.0.0' } });
      expect(await store.check()).toMatchObject({ entries: 6, units: 4, findings: [] });
    });

    test('kinds that are not known are kept, shown and checked', async () => {
      const strange: EntryDraft = {
        ...added('A'),
        kind: 'recalled',
        kindVersion: 3,
        body: { serial: 'A', deep: [{ x: 1.5 }] },
      };
      await store.append([added('A'), strange]);
      expect(await ids({ serial: 'A' })).toEqual(own(1, 2));
      expect((await store.entry(`${store.laptop}-2`))?.body).toEqual(strange.body);
      const { findings } = await store.check();
      expect(findings.map(({ code, severity }) => [code, severity])).toEqual([['kind-unknown', 'warn']]);
    });

    test('a second one opened goes on with the same chain, and both see what the other writes', async () => {
      const second = await place.open();
      expect(second.laptop).toBe(store.laptop);
      for (let i = 0; i < 6; i++) await (i % 2 === 0 ? store : second).append([added(`S${i}`)]);
      expect(await ids({ laptop: store.laptop })).toEqual(own(1, 2, 3, 4, 5, 6));
      expect((await second.check()).findings).toEqual([]);
      expect(await second.unit('S0')).toMatchObject({ serial: 'S0' });
    });

    test('one may write while another is in the middle of reading', async () => {
      const second = await place.open();
      await store.append(Array.from({ length: 600 }, (_, i) => added(`S${1000 + i}`)));
      let seen = 0;
      for await (const unit of store.units()) {
        seen += 1;
        if (seen === 10)
          await second.append([draft('unit-changed', { serial: unit.serial, site: 'elsewhere' })]);
        if (seen === 20)
          await store.append([draft('unit-changed', { serial: unit.serial, site: 'elsewhere' })]);
      }
      expect(seen).toBe(600);
      expect((await store.check()).findings).toEqual([]);
    });

    test('added up anew from the entries alone it is the same to the byte', async () => {
      await store.append([
        added('A', { details: { notes: 'x', access: 'gate' } }),
        read('A', '4.0.0', newYear),
        added('B'),
      ]);
      const before = [await store.unit('A'), await store.unit('B')];
      expect(await store.rebuild()).toEqual({ units: 2, differed: [] });
      expect([await store.unit('A'), await store.unit('B')]).toEqual(before);
    });

    test('a mark from elsewhere is compared', async () => {
      const [first] = await store.append([added('A')]);
      const known = { laptop: store.laptop, seq: 1, hash: first!.hash.slice(0, 20) };
      expect((await store.check([known])).findings).toEqual([]);
      expect((await store.check([{ ...known, seq: 2 }])).findings).toMatchObject([{ code: 'tail-missing' }]);
      expect((await store.check([{ ...known, hash: 'f'.repeat(20) }])).findings).toMatchObject([
        { code: 'mark-differs' },
      ]);
    });

    /** Another laptop's chain, made without a store. */
    function chain(laptop: string, length: number, note = '4.0.0') {
      const made = chainOf(laptop);
      made.add(
        'unit-added',
        { serial: 'A', product: 'rill-40', hardware: 'B', site: null, details: {} },
        newYear,
      );
      for (let i = 1; i < length; i++) {
        made.add(
          'outcome',
          { serial: 'A', outcome: 'updated', evidence: 'read', versionRead: `${note}${i}` },
          newYear + i * day,
        );
      }
      return made.stored;
    }
    const clean = { known: 0, held: 0, splits: [], refused: [] };
    async function sealedTexts(laptop: string): Promise<string[]> {
      const found: string[] = [];
      for await (const { text } of store.sealed({ laptop })) found.push(text);
      return found;
    }

    test("others' entries are taken in as they are, once, with what they add up to", async () => {
      await store.append([added('B')]);
      const [x, y] = [chain('xx', 700), chain('yy', 3)];
      expect(await store.takeIn(y)).toEqual({ ...clean, added: 3 });
      expect(await store.takeIn([...x, ...y])).toEqual({ ...clean, added: 700, known: 3 });
      expect(await store.takeIn(x)).toEqual({ ...clean, added: 0, known: 700 });
      expect(await sealedTexts('xx')).toEqual(x.map(({ text }) => text));
      expect(await store.marks()).toContainEqual({ laptop: 'xx', seq: 700, hash: x.at(-1)!.hash });
      expect(await store.unit('A')).toMatchObject({ version: { version: '4.0.0699' } });
      expect((await store.check()).findings).toEqual([]);
      expect((await store.rebuild()).differed).toEqual([]);
    });

    test('chains that are mixed, and an entry before the one it follows', async () => {
      const [x, y] = [chain('xx', 5), chain('yy', 5)];
      const mixed = x.flatMap((entry, i) => [entry, y[i]!]);
      expect(await store.takeIn(mixed.slice(0, 7))).toEqual({ ...clean, added: 7 });
      const late = await store.takeIn([...x.slice(4), ...y.slice(4)]);
      expect(late).toMatchObject({
        added: 1,
        held: 1,
        refused: [{ reason: 'gap', id: 'yy-5', position: 2 }],
      });
      expect(await store.takeIn(mixed)).toEqual({ ...clean, added: 2, known: 8 });
      expect((await store.check()).findings).toEqual([]);
    });

    test('a split is told with both, and nothing of it is stored', async () => {
      const [ours, theirs] = [chain('xx', 4), chain('xx', 6, '9.9.')];
      await store.takeIn(ours);
      const seen = { laptop: 'xx', seq: 2, ours: ours[1]!.hash, theirs: theirs[1]!.hash };
      expect(await store.takeIn(theirs)).toMatchObject({ added: 0, known: 1, held: 5, splits: [seen] });
      const after = await store.takeIn(theirs.slice(4));
      expect(after).toMatchObject({
        held: 2,
        splits: [{ laptop: 'xx', seq: 4, ours: ours[3]!.hash, theirs: theirs[3]!.hash }],
      });
      expect(await sealedTexts('xx')).toEqual(ours.map(({ text }) => text));
      expect((await store.check()).findings).toEqual([]);
    });

    test('what is no entry, or not its own hash, is refused with all that follows it', async () => {
      const x = chain('xx', 3);
      const bad = (text: string, hash: string) => [x[0]!, { text, hash }, x[2]!];
      const spaced = x[1]!.text.replace('{', '{ ');
      for (const [reason, entries] of [
        ['altered', bad(x[1]!.text.replace('4.0.0', '4.0.9'), x[1]!.hash)],
        ['unreadable', bad('[]', sha256Hex('[]'))],
        ['not-canonical', bad(spaced, sha256Hex(spaced))],
      ] as const) {
        const taken = await store.takeIn(entries);
        expect(taken.refused, reason).toMatchObject([
          { reason: 'gap', id: 'xx-3' },
          { reason, position: 2 },
        ]);
        expect(await sealedTexts('xx')).toHaveLength(1);
      }
      expect((await store.check()).findings).toEqual([]);
    });

    test("this computer's own chain is compared, and grows by nobody else", async () => {
      await store.append([added('B')]);
      const own: StoredEntry[] = [];
      for await (const entry of store.sealed({ laptop: store.laptop })) own.push(entry);
      const place = {
        laptop: store.laptop,
        seq: 2,
        prev: own[0]!.hash,
        writtenAt: formatLocalTime(newYear, utc),
      };
      const ahead = recordRules.seal(added('C'), place);
      expect(await store.takeIn([...own, ahead])).toMatchObject({
        added: 0,
        known: 1,
        refused: [{ reason: 'own-ahead', id: `${store.laptop}-2` }],
      });
      expect(await serials()).toEqual(['B']);
    });
  });
}
