// Whether a release may still be carried out: where its own failures have made the halt rule stop it, going on
// takes a reason, which is kept on record.

import { addUpTrials } from '../fleet/release-trials.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { Release } from '../manifest/schema.ts';
import { countedEntries } from '../record/counted-entries.ts';
import { type KnownEntry, knownEntry } from '../record/entry.ts';
import { repeatedOutcomes } from '../record/repeated-outcomes.ts';
import { Failure } from '../words/failure.ts';
import type { Context } from './context.ts';

type OutcomeEntry = Extract<KnownEntry, { kind: 'outcome' }>;

/** Failure `release-halted` (exit 5) without a reason to go on all the same. */
export async function requireNotHalted(
  context: Context,
  release: Release,
  despiteHalt: string | undefined,
): Promise<void> {
  const store = await context.record('read');
  if (store === undefined) return;
  const key = releaseKey(release);
  const outcomes: OutcomeEntry[] = [];
  const repeats = repeatedOutcomes();
  for await (const entry of countedEntries(store, { kind: 'outcome' })) {
    const known = knownEntry(entry);
    if (known?.kind !== 'outcome' || repeats(known.body)) continue;
    if (known.body.release === key) outcomes.push(known);
  }
  const trials = addUpTrials(outcomes, () => undefined).get(key);
  if (trials?.rule !== 'halt' || despiteHalt !== undefined) return;
  throw new Failure({
    code: 'release-halted',
    exit: 5,
    summary: `${key} is going wrong: too many of the units that got it failed.`,
    seen: `${trials.failed} of ${trials.tried} failed`,
    expected: 'fewer failures before more units get it',
    where: key,
    next: 'Call the maker. To go on all the same, say why: --despite-halt "REASON"',
  });
}
