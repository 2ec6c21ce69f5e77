// Products, releases and units for tests, as the manifests' schemas parse them and as the record adds them up.

import type { Catalogue } from '../../../src/manifest/catalogue.ts';
import type { From, Product, Release } from '../../../src/manifest/schema.ts';
import type { Entry } from '../../../src/ports/record-store.ts';
import type { KnownEntry, OutcomeLogged } from '../../../src/record/entry.ts';
import type { UnitState } from '../../../src/record/unit-state.ts';

/** The day `2026-10-01` and following as milliseconds, at noon: tests here live in UTC. */
export const noon = (day: string) => Date.parse(`${day}T12:00:00Z`);
export const dayOf = (atMs: number) => new Date(atMs).toISOString().slice(0, 10);

export function product(
  id: string,
  hardware: readonly string[],
  scheme: Product['versions'] = 'dotted',
): Product {
  // Status and paths look at these alone.
  return {
    id,
    name: id,
    hardware: [...hardware],
    versions: scheme,
    serial: { pattern: '.*', check: 'none' },
  } as unknown as Product;
}

export interface ReleaseFacts {
  readonly product?: string;
  readonly version: string;
  readonly sequence: number;
  readonly issued?: string;
  readonly due?: string | undefined;
  readonly hardware?: readonly string[];
  readonly from?: From;
  readonly withdrawnOn?: string | undefined;
}

export function release(facts: ReleaseFacts): Release {
  return {
    manifest: 'release',
    format: 1,
    product: facts.product ?? 'rill-40',
    version: facts.version,
    sequence: facts.sequence,
    issued: facts.issued ?? '2026-01-01',
    priority: 'required',
    hardware: [...(facts.hardware ?? ['A', 'B'])],
    from: facts.from ?? { kind: 'any' },
    image: { name: 'RILL40.FWU', folder: '', bytes: 1, digests: { sha256: '0'.repeat(64) } },
    resets: [],
    ...(facts.due === undefined ? {} : { due: facts.due }),
    ...(facts.withdrawnOn === undefined
      ? {}
      : { withdrawn: { on: facts.withdrawnOn, why: 'it does not restart' } }),
  };
}

export function catalogue(
  releases: readonly Release[],
  products = [product('rill-40', ['A', 'B'])],
): Catalogue {
  return {
    products: new Map(products.map((one) => [one.id, one])),
    releases: [...releases].sort((a, b) => a.sequence - b.sequence),
    sources: new Map(),
    findings: [],
  };
}

export function unit(facts: Partial<UnitState> = {}): UnitState {
  return {
    serial: 'TRB1',
    product: 'rill-40',
    hardware: 'A',
    site: 'Alder Farm',
    details: {},
    retired: false,
    version: null,
    versionRead: null,
    lastOutcome: null,
    lastDecisive: null,
    exempt: null,
    left: null,
    readSince: readLater(facts),
    ...facts,
  };
}

/** As the record adds it up where one version was read. */
function readLater({ versionRead, lastDecisive }: Partial<UnitState>): string[] {
  const isLater = versionRead && lastDecisive && versionRead.atMs > lastDecisive.atMs;
  return isLater ? [versionRead.version] : [];
}

/** Repeatable random numbers from 0 to 1. */
export function generator(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** An outcome as the record gives it, at noon of the day. */
export function outcomeEntry(
  body: Omit<OutcomeLogged, 'evidence'>,
  day: string,
  doneBy = 'R. Quill',
): Extract<KnownEntry, { kind: 'outcome' }> {
  return {
    ...entryFacts(day, doneBy),
    kind: 'outcome',
    body: { evidence: body.versionRead === undefined ? 'lights' : 'read', ...body },
  };
}

export function entryFacts(day: string, doneBy: string): Omit<Entry, 'kind' | 'body'> {
  const at = `${day}T12:00:00.000Z`;
  const atMs = noon(day);
  return {
    ...{ id: `e-${day}`, laptop: 'l1', seq: 1, prev: '', hash: '', kindVersion: 1 },
    ...{ claimedAt: at, writtenAt: at, claimedMs: atMs, writtenMs: atMs, typedBy: doneBy, doneBy },
  };
}
