// Random histories of five laptops: each writes entries, packs, takes packets in (old ones, others' and its own, again and
// again), takes broken ones, and breaks off in the middle. In the end each has taken in what all the others packed.
//
// The judge knows none of that: it is given what each laptop holds in the end, and adds up every unit anew by brute force
// (`fold-judge.ts`) from the texts that were ever written.

import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { run as pack } from '../../src/commands/record-pack.ts';
import { run as takeIn } from '../../src/commands/record-take-in.ts';
import type { StoredEntry } from '../../src/ports/record-rules.ts';
import type { Entry, EntryDraft } from '../../src/ports/record-store.ts';
import { openEntry } from '../../src/record/seal-entry.ts';
import { judgeUnit } from '../property/fold-judge.ts';
import { openedWorkspace } from './opened-workspace.ts';
import { aimed, randomDrafts } from './random-entries.ts';

export const crewSize = 5;
const serials = ['A', 'B', 'C'];

export type Step =
  | { readonly kind: 'write'; readonly laptop: number; readonly drafts: readonly EntryDraft[] }
  | { readonly kind: 'pack'; readonly laptop: number }
  /** `packet`: of those that there are by then, counted round. */
  | { readonly kind: 'take-in'; readonly laptop: number; readonly packet: number }
  | {
      readonly kind: 'take-broken';
      readonly laptop: number;
      readonly packet: number;
      readonly at: number;
      readonly cut: boolean;
    }
  /** Only the first entries of another's record come, then the power goes. */
  | { readonly kind: 'break-off'; readonly laptop: number; readonly from: number; readonly count: number }
  /** With the office's server, where there is one; `cutAfter`: bytes after which the connection is cut, again and again. */
  | { readonly kind: 'sync'; readonly laptop: number; readonly cutAfter: number | null };

const laptop = fc.nat(crewSize - 1);
const step: fc.Arbitrary<Step> = fc.oneof(
  {
    weight: 4,
    arbitrary: fc.record({
      kind: fc.constant('write' as const),
      laptop,
      drafts: randomDrafts.map((drafts) => drafts.slice(0, 4)),
    }),
  },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('pack' as const), laptop }) },
  { weight: 4, arbitrary: fc.record({ kind: fc.constant('take-in' as const), laptop, packet: fc.nat(100) }) },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant('take-broken' as const),
      laptop,
      packet: fc.nat(100),
      at: fc.nat(1_000_000),
      cut: fc.boolean(),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      kind: fc.constant('break-off' as const),
      laptop,
      from: laptop,
      count: fc.nat(12),
    }),
  },
);

const syncStep: fc.Arbitrary<Step> = fc.record({
  kind: fc.constant('sync' as const),
  laptop,
  cutAfter: fc.option(fc.nat(40_000), { nil: null, freq: 2 }),
});

/** An office's server, as the laptops of a history reach it. */
export interface Office {
  sync(laptop: number, context: Workspace['context'], cutAfter: number | null): Promise<void>;
  /** Its own record, once all is done. */
  record(): Promise<Store>;
}

export interface History {
  readonly steps: readonly Step[];
  /** In which each takes in all packets at the end. */
  readonly order: readonly number[];
}

export function histories(length: number, withOffice = false): fc.Arbitrary<History> {
  const any = withOffice
    ? fc.oneof({ weight: 13, arbitrary: step }, { weight: 5, arbitrary: syncStep })
    : step;
  return fc.record({
    steps: fc.array(any, { minLength: Math.trunc(length / 2), maxLength: length, size: 'max' }),
    order: fc.shuffledSubarray([...Array(crewSize).keys()], { minLength: crewSize, maxLength: crewSize }),
  });
}

/** What one laptop holds. */
export interface Held {
  /** Texts of entries, sorted. */
  readonly texts: readonly string[];
  /** What the store says of each unit. */
  readonly units: ReadonlyMap<string, unknown>;
  readonly stops: readonly string[];
  readonly differed: readonly string[];
}

export interface Played {
  readonly held: readonly Held[];
  /** Every text that was ever written anywhere. */
  readonly written: readonly string[];
}

type Workspace = ReturnType<typeof openedWorkspace>;

export async function playHistory({ steps, order }: History, office?: Office): Promise<Played> {
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-crew-'));
  const crew: Workspace[] = [];
  const written: string[] = [];
  const packets: string[] = [];
  try {
    for (let i = 0; i < crewSize; i++) crew.push(openedWorkspace(join(folder, `laptop-${i}`)));
    const contextOf = (i: number) => crew[i]!.context;
    const packOf = async (i: number) => {
      const path = join(folder, `${packets.length}.packet`);
      packets.push(path);
      await pack(contextOf(i), [path], { names: true });
      return path;
    };
    for (const one of steps) {
      const store = await contextOf(one.laptop).record('write');
      switch (one.kind) {
        case 'write': {
          const known = await allEntries(store);
          const addresses = await store.append(one.drafts.map((draft) => aimed(draft, known)));
          const first = addresses[0]?.seq ?? 1;
          for await (const { text } of store.sealed({ laptop: store.laptop, fromSeq: first })) {
            if (addresses.length > 0) written.push(text);
          }
          break;
        }
        case 'pack':
          await packOf(one.laptop);
          break;
        case 'take-in': {
          const path = packets[one.packet % packets.length];
          if (path === undefined) break;
          const { exit, json } = await takeIn(contextOf(one.laptop), [path]);
          if (exit !== 0) throw new Error(`refused: ${JSON.stringify(json.findings)}`);
          break;
        }
        case 'take-broken': {
          const path = packets[one.packet % packets.length];
          if (path === undefined) break;
          const before = await textsOf(store);
          const { exit } = await takeIn(contextOf(one.laptop), [broken(folder, path, one)]);
          if (exit !== 3) throw new Error('a broken packet was taken in');
          if (String(await textsOf(store)) !== String(before))
            throw new Error('something of a broken packet was kept');
          break;
        }
        case 'sync':
          await office?.sync(one.laptop, contextOf(one.laptop), one.cutAfter);
          break;
        case 'break-off': {
          const some: StoredEntry[] = [];
          const other = await contextOf(one.from).record('write');
          for (const { laptop: chain } of await other.marks()) {
            for await (const entry of other.sealed({ laptop: chain }))
              if (some.length < one.count) some.push(entry);
          }
          const taken = await store.takeIn(some);
          if (taken.held > 0) throw new Error(`held: ${JSON.stringify(taken)}`);
          break;
        }
      }
    }
    const last: string[] = [];
    for (let i = 0; i < crewSize; i++) last.push(await packOf(i));
    for (let i = 0; i < crewSize; i++) {
      for (const from of order) {
        const { exit, json } = await takeIn(contextOf(i), [last[(from + i) % crewSize]!]);
        if (exit !== 0) throw new Error(`refused: ${JSON.stringify(json.findings)}`);
      }
    }
    const held: Held[] = [];
    if (office !== undefined) {
      for (const i of order) await office.sync(i, contextOf(i), null);
      held.push(await heldIn(await office.record()));
    }
    for (let i = 0; i < crewSize; i++) held.push(await heldIn(await contextOf(i).record('write')));
    return { held, written };
  } finally {
    for (const { close } of crew) close();
    rmSync(folder, { recursive: true, force: true });
  }
}

type Store = Awaited<ReturnType<Workspace['context']['record']>> & object;

async function textsOf(store: Store): Promise<string[]> {
  const texts: string[] = [];
  for (const { laptop: chain } of await store.marks()) {
    for await (const { text } of store.sealed({ laptop: chain })) texts.push(text);
  }
  return texts.sort();
}

async function allEntries(store: Store): Promise<Entry[]> {
  const entries: Entry[] = [];
  for (const { laptop: chain } of await store.marks()) {
    for await (const entry of store.entries({ laptop: chain })) entries.push(entry);
  }
  return entries;
}

async function heldIn(store: Store): Promise<Held> {
  const units = new Map<string, unknown>();
  for (const serial of serials) {
    const unit = await store.unit(serial);
    if (unit !== undefined) units.set(serial, unit);
  }
  const { findings } = await store.check(await store.marks());
  return {
    texts: await textsOf(store),
    units,
    stops: findings
      .filter(({ severity }) => severity === 'stop')
      .map(({ code, where }) => `${code} ${where}`),
    differed: (await store.rebuild()).differed,
  };
}

function broken(folder: string, path: string, { at, cut }: { at: number; cut: boolean }): string {
  const bytes = readFileSync(path);
  const place = at % bytes.length;
  if (!cut) bytes[place]! ^= 1 << (at % 8);
  const target = join(folder, 'broken.packet');
  writeFileSync(target, cut ? bytes.subarray(0, place) : bytes);
  return target;
}

/** Throws where anything is lost, doubled, changed, or added up wrongly. Shares no code with store or packet. */
export function judgeCrew({ held, written }: Played): void {
  const expected = [...written].sort();
  const entries = written.map((text): Entry => {
    const entry = openEntry({ text, hash: createHash('sha256').update(text).digest('hex') });
    if (entry === undefined) throw new Error(`no entry: ${text}`);
    return entry;
  });
  for (const [index, { texts, units, stops, differed }] of held.entries()) {
    const who = held.length > crewSize && index === 0 ? 'the server' : `laptop ${index}`;
    if (JSON.stringify(texts) !== JSON.stringify(expected))
      throw new Error(`${who} does not hold what was written: ${texts.length} of ${expected.length} entries`);
    if (stops.length > 0) throw new Error(`${who} is damaged: ${stops.join(', ')}`);
    if (differed.length > 0) throw new Error(`${who} had not added up: ${differed.join(', ')}`);
    for (const serial of serials) {
      const some = entries.filter(({ body }) => body.serial === serial);
      const judged = some.length === 0 ? undefined : judgeUnit(some, Number.POSITIVE_INFINITY);
      if (inOrder(units.get(serial)) !== inOrder(judged))
        throw new Error(
          `${who} adds ${serial} up to ${inOrder(units.get(serial))}, the judge to ${inOrder(judged)}`,
        );
    }
  }
}

/** One text for one value, whatever the order of its names. */
function inOrder(value: unknown): string {
  return (
    JSON.stringify(value, (_, one) =>
      typeof one === 'object' && one !== null && !Array.isArray(one)
        ? Object.fromEntries(Object.entries(one).sort(([a], [b]) => (a < b ? -1 : 1)))
        : one,
    ) ?? 'nothing'
  );
}
