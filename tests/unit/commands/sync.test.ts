// Syncing, with a second record in place of the server: what is moved, what is not, and what is told of it. The server
// itself, its roles and broken lines are the long tier's.

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { localFiles } from '../../../src/adapters/files/local-files.ts';
import { compareChains } from '../../../src/commands/sync/compare-chains.ts';
import { rememberedMarks, rememberMarks } from '../../../src/commands/sync/server-memory.ts';
import { syncWithServer } from '../../../src/commands/sync/sync-with-server.ts';
import type { ServerRecord } from '../../../src/ports/office-server.ts';
import { noPrev } from '../../../src/ports/record-rules.ts';
import type { Entry, Mark, RecordStore } from '../../../src/ports/record-store.ts';
import { draftEntry } from '../../../src/record/entry.ts';
import { sealEntry } from '../../../src/record/seal-entry.ts';
import type { UnitRecord } from '../../../src/record/unit-record.ts';
import { formatLocalTime } from '../../../src/words/local-time.ts';
import { chainOf, newYear, utc } from '../../support/entries.ts';
import { laterFailureOf } from '../../support/failure-of.ts';
import { checkSeeded } from '../../support/seeded.ts';
import { type SqlitePlace, sqlitePlace } from '../../support/sqlite-place.ts';

type Store = RecordStore<UnitRecord>;
let places: SqlitePlace[];
let here: Store;
let there: Store;
beforeEach(() => {
  places = [sqlitePlace(), sqlitePlace()];
  [here, there] = places.map((place) => place.open()) as [Store, Store];
});
afterEach(() => {
  for (const place of places) place.remove();
});

const signature = { claimedAt: formatLocalTime(newYear, utc), typedBy: 'x' };
const added = (serial: string) =>
  draftEntry('unit-added', signature, { serial, product: 'rill-40', hardware: 'B', site: null, details: {} });

function chain(laptop: string, length: number, site = 'Birch') {
  const made = chainOf(laptop);
  for (let at = 0; at < length; at++)
    made.add(
      'unit-added',
      { serial: `S${at}`, product: 'rill-40', hardware: 'B', site, details: {} },
      newYear,
    );
  return made.stored;
}

function serverOf(store: Store, brings: readonly string[]): ServerRecord<UnitRecord> {
  const server = {
    where: 'postgresql://quill@h:5432/d',
    server: 'one',
    rights: { role: 'quill', direct: undefined, brings, addsUpUnits: false },
    checkRights: async () => [],
  };
  return new Proxy(store, {
    get: (target, name) => {
      if (name in server) return server[name as keyof typeof server];
      const value = target[name as keyof Store];
      return typeof value === 'function' ? value.bind(target) : value;
    },
  }) as ServerRecord<UnitRecord>;
}

async function sync(
  brings: readonly string[] = [here.laptop],
  remembered: readonly Mark[] = [],
  batchEntries = 2,
) {
  const moved = { sent: 0, fetched: 0 };
  const steps: [number, number][] = [];
  const parts = {
    here,
    server: serverOf(there, brings),
    remembered,
    moved,
    batchEntries,
    stop: new AbortController().signal,
    progress: (done: number, total: number) => void steps.push([done, total]),
  };
  const { findings, splits, marks } = await syncWithServer(parts);
  return { ...moved, codes: findings.map(({ code }) => code), splits, marks, steps };
}

test('its own goes there, the rest comes here, in batches, once', async () => {
  await here.append([1, 2, 3, 4, 5].map((at) => added(`H${at}`)));
  await there.takeIn([...chain('xx', 3), ...chain('yy', 4)]);
  const first = await sync();
  expect(first).toMatchObject({ sent: 5, fetched: 7, codes: [], splits: [] });
  expect(first.steps).toEqual([2, 4, 5, 7, 8, 10, 12].map((done) => [done, 12]));
  expect(await here.marks()).toEqual(await there.marks());
  expect(await sync()).toMatchObject({ sent: 0, fetched: 0, codes: [] });
  expect((await here.check()).findings).toEqual([]);
});

test('what may not be brought is told, and the rest moves', async () => {
  await here.append([added('H1')]);
  await here.takeIn(chain('xx', 3));
  await there.takeIn(chain('yy', 2));
  expect(await sync([])).toMatchObject({
    sent: 0,
    fetched: 2,
    codes: ['chain-not-entrusted', 'others-not-brought'],
  });
  expect(await sync(['xx'])).toMatchObject({ sent: 3, codes: ['chain-not-entrusted'] });
  expect(await sync(['*'])).toMatchObject({ sent: 1, codes: [] });
});

test('splits, at the end and in the middle, and of the own chain', async () => {
  await here.append([added('H1'), added('H2')]);
  const [first] = await entriesOf(here, here.laptop);
  const place = { laptop: here.laptop, seq: 2, prev: first!.hash, writtenAt: signature.claimedAt };
  await there.takeIn([first!, sealEntry(added('other'), place)]);
  const common = chain('xx', 2);
  await here.takeIn([...common, ...chain('yy', 6), ...chain('zz', 3)]);
  const xxOn = (site: string, length: number) => {
    const made = [...common];
    for (let seq = 3; seq <= length; seq++) {
      const draft = draftEntry('unit-changed', signature, { serial: 'S0', site });
      made.push(
        sealEntry(draft, { laptop: 'xx', seq, prev: made.at(-1)!.hash, writtenAt: signature.claimedAt }),
      );
    }
    return made.slice(2);
  };
  await here.takeIn(xxOn('Cedar', 9));
  await there.takeIn([...common, ...xxOn('Alder', 5), ...chain('yy', 4, 'Elder'), ...chain('zz', 3)]);
  const told = await sync(['*']);
  expect(told).toMatchObject({ sent: 0, fetched: 0, codes: ['split', 'split', 'split'] });
  expect(told.splits.map(({ laptop, parting }) => [laptop, parting?.seq])).toEqual(
    [
      [here.laptop, 2],
      ['xx', 3],
      ['yy', 1],
    ].sort(),
  );
});

test('newer entries of the own chain there; a server that lost some; chains that stand for others', async () => {
  await here.append([added('H1')]);
  const [first] = await entriesOf(here, here.laptop);
  const place = { laptop: here.laptop, seq: 2, prev: first!.hash, writtenAt: signature.claimedAt };
  await there.takeIn([first!, sealEntry(added('other'), place)]);
  expect(await sync()).toMatchObject({ sent: 0, fetched: 0, codes: ['own-ahead'] });
  expect((await sync([], [{ laptop: 'xx', seq: 5, hash: 'a' }])).codes).toEqual([
    'server-behind',
    'own-ahead',
  ]);
  await there.takeIn(chain('standin0123456789abcdef', 1));
  expect(await sync()).toMatchObject({ sent: 0, fetched: 0, codes: ['record-stands-in'] });
});

test('bodies not of their form are not fetched, nor what follows; what is here goes out as it is', async () => {
  const bad = { ...draftEntry('note', signature, { text: 'x' } as never), body: {} };
  const good = chain('xx', 2);
  const at = { laptop: 'xx', seq: 3, prev: good[1]!.hash, writtenAt: signature.claimedAt };
  const rubbish = sealEntry(bad, at);
  const after = sealEntry(added('Z'), { ...at, seq: 4, prev: rubbish.hash });
  await there.takeIn([...good, rubbish, after]);
  expect(await sync()).toMatchObject({ fetched: 2, codes: ['entry-refused'] });
  await here.takeIn([rubbish, after]);
  places.push(sqlitePlace());
  there = places[2]!.open();
  expect(await sync(['*'])).toMatchObject({ sent: 4, codes: [] });
});

test('stopped by the person between two batches: what has moved stays, and is counted', async () => {
  await here.append([1, 2, 3, 4, 5].map((one) => added(`H${one}`)));
  const stop = new AbortController();
  const moved = { sent: 0, fetched: 0 };
  const server = serverOf(there, ['*']);
  const parts = {
    here,
    server,
    remembered: [],
    moved,
    batchEntries: 2,
    stop: stop.signal,
    progress: () => stop.abort(),
  };
  expect(await laterFailureOf(() => syncWithServer(parts))).toMatchObject({
    code: 'stopped',
    exit: 130,
    more: { sent: 2 },
  });
  expect(await sync()).toMatchObject({ sent: 3, codes: [] });
});

test('where chains part is found by halving, and is where a look at every place finds it', async () => {
  await checkSeeded(
    'tests/unit/commands/sync.test.ts',
    200,
    fc.asyncProperty(fc.nat(40), fc.nat(40), fc.nat(40), async (common, ours, theirs) => {
      const record = (more: number, mark: string) => {
        const length = common + more;
        const hash = (seq: number) => (seq <= common ? `same${seq}` : `${mark}${seq}`);
        const entry = async (id: string) => {
          const seq = Number(id.split('-')[1]);
          return seq > 0 && seq <= length ? ({ hash: hash(seq) } as Entry) : undefined;
        };
        return {
          store: { entry },
          marks: length === 0 ? [] : [{ laptop: 'xx', seq: length, hash: hash(length) }],
          hash,
          length,
        };
      };
      const [one, other] = [record(ours, 'ours'), record(theirs, 'theirs')];
      const found = (await compareChains(one, other))[0];
      const shorter = Math.min(one.length, other.length);
      const places = Array.from({ length: shorter }, (_, at) => at + 1);
      const parting = places.find((seq) => one.hash(seq) !== other.hash(seq));
      expect(found?.parting?.seq).toBe(parting);
      if (parting !== undefined) expect(found?.kind).toBe('split');
      else if (one.length === other.length) expect(found?.kind ?? 'same').toBe('same');
      else expect(found?.kind).toBe(one.length > other.length ? 'more-here' : 'more-there');
    }),
  );
});

test('a server is remembered by its own id, never as less than before; what cannot be read is nothing', () => {
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-memory-'));
  const servers = join(folder, 'servers.json');
  const place = { files: localFiles, workspace: { servers } as never };
  try {
    const mark = (laptop: string, seq: number): Mark => ({ laptop, seq, hash: noPrev });
    expect(rememberedMarks(place, 'one')).toEqual([]);
    rememberMarks(place, 'one', 'w', [mark('xx', 3), mark('yy', 1)]);
    rememberMarks(place, 'two', 'w', [mark('xx', 9)]);
    rememberMarks(place, 'one', 'w', [mark('xx', 2), mark('zz', 4)]);
    expect(rememberedMarks(place, 'one')).toEqual([mark('xx', 3), mark('yy', 1), mark('zz', 4)]);
    expect(rememberedMarks(place, 'two')).toEqual([mark('xx', 9)]);
    expect(rememberedMarks(place, '__proto__')).toEqual([]);
    for (const text of [
      '',
      '{',
      '[]',
      '{"format":2,"servers":{}}',
      '{"format":1,"servers":{"one":{"marks":[{"seq":1}]}}}',
    ]) {
      localFiles.write(servers, text);
      expect(rememberedMarks(place, 'one'), text).toEqual([]);
    }
  } finally {
    rmSync(folder, { recursive: true });
  }
});

async function entriesOf(store: Store, laptop: string) {
  const found: { text: string; hash: string }[] = [];
  for await (const { text, hash } of store.sealed({ laptop })) found.push({ text, hash });
  return found;
}
