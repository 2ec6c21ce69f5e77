// Answers for a walk of a demonstration product along a chosen way: one line for each question, as a person would
// write them. The way is found in the product's graph; what each answer says is worked out here, from the
// written manifest, and not by the code that reads it.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'yaml';
import type { Product } from '../../src/manifest/schema.ts';
import { exploreStates } from '../../src/procedure/state-space.ts';
import { stepGraphOf } from '../../src/procedure/step-graph.ts';
import { successorsOf } from '../../src/procedure/successors.ts';
import { demoCatalogue, demoManifestFolder } from './demo-world.ts';

export interface WalkCase {
  readonly product: string;
  readonly serial: string;
  readonly revision: string;
  readonly before: string;
  readonly release: string;
  readonly older: string;
}

/** One registered unit of each demonstration product, and what is carried to it. */
export const walkCases: readonly WalkCase[] = [
  {
    product: 'hearth-90',
    serial: 'TB8120000586',
    revision: 'B',
    before: '2.5.0',
    release: '2.6.0',
    older: '2.5.0',
  },
  {
    product: 'weir-18',
    serial: 'TW2C0047113K',
    revision: '2',
    before: '2026-01-28',
    release: '2026-10-05',
    older: '2026-01-28',
  },
  {
    product: 'kerb-22',
    serial: 'TKR240003091282',
    revision: 'R2',
    before: '121',
    release: '126',
    older: '121',
  },
];

export type Line = Record<string, unknown>;

export interface Way {
  /** Ids of the steps that are done, in order, the end last. */
  readonly path: readonly string[];
  readonly end: string;
  readonly kind: 'updated' | 'failed' | 'deferred';
  readonly lines: readonly Line[];
  /** Where everything stands at the end, by the manifest. */
  readonly leaves: Readonly<Record<string, string>>;
}

interface WrittenStep {
  readonly id: string;
  readonly sets?: Record<string, string>;
  readonly [key: string]: any;
}

export interface Script {
  readonly case: WalkCase;
  readonly written: {
    readonly procedure: WrittenStep[];
    readonly positions: Record<string, { ends: string }>;
    readonly serves: string[];
  };
  readonly product: Product;
  readonly resets: readonly string[];
  /** A shortest way to each end that can be reached. */
  ways(): Way[];
  /** From the cautions to the starting positions. */
  before(): Line[];
  after(kind: Way['kind']): Line[];
}

const minuteMs = 60_000;
const units: Record<string, number> = { s: 1000, min: minuteMs, h: 60 * minuteMs };

function milliseconds(text: string): number {
  const [, amount = '', unit = ''] = /^([\d.]+)(s|min|h)$/.exec(text) ?? [];
  return Number(amount) * (units[unit] ?? Number.NaN);
}

/** Lines with times, the first at `startMs`; every step takes a minute, waits and time-outs what they must. */
export function timed(lines: readonly Line[], startMs: number): Line[] {
  let atMs = startMs;
  return lines.map(({ takesMs, ...line }) => {
    atMs += typeof takesMs === 'number' ? takesMs : minuteMs / 4;
    return { ...line, at: new Date(atMs).toISOString() };
  });
}

export const asText = (lines: readonly Line[]): string =>
  lines.map((line) => `${JSON.stringify(line)}\n`).join('');

export function scriptFor(walkCase: WalkCase): Script {
  const catalogue = demoCatalogue();
  const product = catalogue.products.get(walkCase.product)!;
  const { resets } = catalogue.releases.find(
    (one) => one.product === product.id && one.version === walkCase.release,
  )!;
  const written = parse(readFileSync(join(demoManifestFolder, `${product.id}.yaml`), 'utf8'));
  const signs = written.serves.map(() => true);
  const before = (): Line[] => [
    { ask: 'cautions', read: true },
    { ask: 'card', card: 'C-7' },
    { ask: 'plate', lastFour: walkCase.serial.slice(-4), revision: walkCase.revision },
    { ask: 'version-before', version: walkCase.before },
    ...(resets.length === 0
      ? []
      : [{ ask: 'settings', values: Object.fromEntries(resets.map((name) => [name, '7'])) }]),
    { ask: 'starts', asSaid: true },
  ];
  const after = (kind: Way['kind']): Line[] => {
    const told = { ask: 'told', name: 'M. Alder' };
    if (kind === 'updated') {
      return [
        ...(resets.length === 0
          ? []
          : [{ ask: 'restored', values: Object.fromEntries(resets.map((name) => [name, true])) }]),
        { ask: 'service', serves: signs },
        { ask: 'left', left: 'running' },
        told,
      ];
    }
    return [
      { ask: 'left', left: 'locked-off' },
      ...(kind === 'failed'
        ? [
            { ask: 'cause', cause: 'unit' },
            { ask: 'case', number: '4471' },
          ]
        : [{ ask: 'reason', reason: 'unsafe' }]),
      told,
    ];
  };
  return {
    case: walkCase,
    written,
    product,
    resets,
    before,
    after,
    ways: () => waysOf(walkCase, product, written, signs, before, after),
  };
}

function waysOf(
  walkCase: WalkCase,
  product: Product,
  written: Script['written'],
  signs: readonly boolean[],
  before: () => Line[],
  after: (kind: Way['kind']) => Line[],
): Way[] {
  const graph = stepGraphOf(product);
  const successors = successorsOf(graph);
  const space = exploreStates(successors);
  const found = new Map<string, Way>();
  for (let id = 0; id < space.count; id += 1) {
    const step = written.procedure[successors.stepAt(space.words, id * successors.stride)]!;
    if (step.end === undefined || found.has(step.id)) continue;
    const moves = space
      .pathTo(id)
      .map(({ step: index, exit }) => ({ step: written.procedure[index]!, ...exit }));
    const done = moves.filter(({ reason }) => reason !== 'no-tries-left');
    const lines = done.flatMap(({ step: one, reason, pattern }) =>
      answersTo(one, reason, pattern, walkCase, signs),
    );
    const declared = step.leaves ?? {};
    found.set(step.id, {
      path: [...done.map((move) => move.step.id), step.id],
      end: step.id,
      kind: step.end,
      lines: [...before(), ...lines, ...after(step.end)],
      leaves: Object.fromEntries(
        Object.entries(written.positions).map(([name, { ends }]) => [name, declared[name] ?? ends]),
      ),
    });
  }
  return [...found.values()];
}

function answersTo(
  step: WrittenStep,
  reason: string,
  pattern: string | undefined,
  walkCase: WalkCase,
  signs: readonly boolean[],
): Line[] {
  const line = { step: step.id };
  if (step.wait !== undefined) {
    return [
      { ...line, ...(step.orPlate && { plateMinutes: null }), done: true, takesMs: milliseconds(step.wait) },
    ];
  }
  if (step.measure !== undefined) {
    const { between = ['it'], from, to, proveMeter } = step.measure;
    const within = between.map((_: string, index: number) => (index === 0 ? '0,2' : (from + to) / 2));
    const readings = reason === 'passes' ? within : [...within.slice(0, -1), to + 300];
    return [
      {
        ...line,
        ...(proveMeter && { meterBefore: true }),
        readings,
        ...(proveMeter && { meterAfter: true }),
      },
    ];
  }
  if (step.watch !== undefined) {
    // A pattern that keeps watching is said first, where there is one: it must change nothing.
    const keeps = Object.entries(step.watch as Record<string, string>).find(([, to]) => to === step.id);
    const first = keeps === undefined ? [] : [{ ...line, lights: keeps[0] }];
    if (reason === 'late') return [...first, { ...line, late: true, takesMs: milliseconds(step.within) }];
    if (reason === 'unlisted') return [...first, { ...line, unlisted: true }];
    return [...first, { ...line, lights: pattern }];
  }
  if (step.read !== undefined) {
    if (reason === 'unreadable') return [{ ...line, unreadable: true }];
    if (reason === 'release-version') return [{ ...line, version: walkCase.release }];
    const other = { ...line, version: walkCase.older };
    return [other, other];
  }
  if (step.confirm !== undefined) {
    return [{ ...line, serves: reason === 'passes' ? signs : [...signs.slice(0, -1), false] }];
  }
  return [{ ...line, done: true }];
}
