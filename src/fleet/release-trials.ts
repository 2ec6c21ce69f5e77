// How each release has fared so far: on how many units it was tried, how often it failed, what the halt rule
// says, and how the failures fall by hardware revision, card and technician, since they cluster there. Every
// `updated` and `failed` counts, whatever cause was given: a cause is somebody's opinion on the day.

import type { KnownEntry } from '../record/entry.ts';
import { type HaltJudgement, judgeRelease } from './halt-rule.ts';

export interface TrialGroup {
  readonly name: string;
  readonly tried: number;
  readonly failed: number;
}

export const splitKinds = ['hardware', 'card', 'technician'] as const;
export type SplitKind = (typeof splitKinds)[number];

export interface ReleaseTrials extends HaltJudgement {
  /** `product@version`, as the outcomes name it. */
  readonly release: string;
  /** By revision, card and technician, most failures first; `not known` where it was not said. */
  readonly split: Readonly<Record<SplitKind, readonly TrialGroup[]>>;
}

type OutcomeEntry = Extract<KnownEntry, { kind: 'outcome' }>;

/** `outcomes` in the order in which they happened. `hardwareOf`: the revision of a serial, where it is known. */
export function addUpTrials(
  outcomes: Iterable<OutcomeEntry>,
  hardwareOf: (serial: string) => string | null | undefined,
): Map<string, ReleaseTrials> {
  const tries = new Map<string, OutcomeEntry[]>();
  for (const entry of outcomes) {
    const { outcome, release } = entry.body;
    if (release === undefined || (outcome !== 'updated' && outcome !== 'failed')) continue;
    const known = tries.get(release);
    if (known === undefined) tries.set(release, [entry]);
    else known.push(entry);
  }

  const added = new Map<string, ReleaseTrials>();
  for (const [release, entries] of tries) {
    const by = (nameOf: (entry: OutcomeEntry) => string | null | undefined) => groups(entries, nameOf);
    added.set(release, {
      release,
      ...judgeRelease(entries.map(isFailure)),
      split: {
        hardware: by(({ body }) => hardwareOf(body.serial)),
        card: by(({ body }) => body.card),
        technician: by(({ doneBy }) => doneBy),
      },
    });
  }
  return added;
}

/** A release that nobody has tried yet. */
export function untried(release: string): ReleaseTrials {
  return { release, ...judgeRelease([]), split: { hardware: [], card: [], technician: [] } };
}

const isFailure = ({ body }: OutcomeEntry) => body.outcome === 'failed';

function groups(
  entries: readonly OutcomeEntry[],
  nameOf: (entry: OutcomeEntry) => string | null | undefined,
): TrialGroup[] {
  const counts = new Map<string, { name: string; tried: number; failed: number }>();
  for (const entry of entries) {
    const name = nameOf(entry) ?? 'not known';
    const group = counts.get(name) ?? { name, tried: 0, failed: 0 };
    counts.set(name, group);
    group.tried++;
    if (isFailure(entry)) group.failed++;
  }
  return [...counts.values()].sort((a, b) => b.failed - a.failed || (a.name < b.name ? -1 : 1));
}
