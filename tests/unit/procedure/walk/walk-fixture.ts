// A walk of a written product for tests: the plan, and events one after another, a second apart unless told.

import { type Product, productSchema, type Release } from '../../../../src/manifest/schema.ts';
import { sameVersion } from '../../../../src/manifest/versions.ts';
import { stepGraphOf } from '../../../../src/procedure/step-graph.ts';
import { successorsOf } from '../../../../src/procedure/successors.ts';
import { beginWalk } from '../../../../src/procedure/walk/begin-walk.ts';
import { reduceWalk } from '../../../../src/procedure/walk/reduce-walk.ts';
import type { CardStanding, Walk, WalkPlan } from '../../../../src/procedure/walk/walk.ts';
import type { WalkEvent, WalkEventKind } from '../../../../src/procedure/walk/walk-event.ts';
import type { Written } from '../written-product.ts';

export const startMs = Date.UTC(2026, 10, 24, 9, 0, 0);

export function releaseOf(product: Product, changes: Partial<Release> = {}): Release {
  return {
    manifest: 'release',
    format: 1,
    product: product.id,
    version: '4.2.0',
    sequence: 17,
    issued: '2026-10-01',
    priority: 'required',
    hardware: product.hardware,
    from: { kind: 'any' },
    image: { name: 'RILL40.FWU', folder: '', bytes: 100, digests: { sha256: 'a'.repeat(64) } },
    resets: [],
    ...changes,
  };
}

export function planOf(
  written: Written,
  changes: Partial<Release> = {},
  hardware: string | null = 'A',
): WalkPlan {
  const product = productSchema.parse(written);
  const release = releaseOf(product, changes);
  return {
    product,
    release,
    serial: 'TR12345678',
    hardware,
    cautions: 2,
    successors: successorsOf(stepGraphOf(product)),
    judgeVersion: (version) =>
      sameVersion(product.versions, version, release.version)
        ? { kind: 'same' }
        : version.startsWith('1.')
          ? { kind: 'not-next', why: 'It needs 2.0.0 first.' }
          : { kind: 'next' },
  };
}

/** Without its time: `at` in seconds after the start, else a second after the one before. */
export type Said = { [K in WalkEventKind]: Omit<Extract<WalkEvent, { kind: K }>, 'atMs'> }[WalkEventKind] & {
  at?: number;
};

export const readyCard: CardStanding = { name: 'C-1', now: 'ready', record: 'ready', why: null };

export function say(plan: WalkPlan, walk: Walk, ...said: Said[]): Walk {
  let now = walk;
  for (const { at, ...event } of said) {
    const atMs = at === undefined ? now.atMs + 1000 : startMs + at * 1000;
    now = reduceWalk(plan, now, { ...event, atMs } as WalkEvent);
  }
  return now;
}

/** From the first caution to the first step of the procedure; two cautions, no settings. */
export const frameBefore: Said[] = [
  { kind: 'caution-read' },
  { kind: 'caution-read' },
  { kind: 'card', standing: readyCard },
  { kind: 'plate', lastFour: '5678', revision: 'A' },
  { kind: 'version-before', version: '4.0.0' },
  { kind: 'starts', asSaid: true },
];

export const fresh = (plan: WalkPlan): Walk => beginWalk(plan, startMs);

/** What the walk did, as `step:result`. */
export const doneList = (walk: Walk): string[] =>
  walk.done.map(({ part, step, result, pattern }) =>
    [part === 'procedure' ? step : `${part}/${step}`, result, pattern].filter(Boolean).join(':'),
  );
