// Which entry a correction is of: the one that is named, as it was written and as it counts by now, with those that only
// say the same again. Refuses what is not corrected. Writes nothing.

import type { Entry, RecordStore } from '../ports/record-store.ts';
import { asCorrected, corrected, correctionsIn } from '../record/as-corrected.ts';
import { knownEntry, type OutcomeLogged } from '../record/entry.ts';
import { inClaimedOrder } from '../record/entry-order.ts';
import { repeatedOutcomes, statementIdOf } from '../record/repeated-outcomes.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';

export interface CorrectionTarget {
  /** As it was first written. */
  readonly entry: Entry;
  /** As it counts now. */
  readonly stands: Entry;
  /** It was made void already. */
  readonly isVoid: boolean;
  /** Entries of the unit that only say the same again, collected a second time or on another laptop. */
  readonly repeats: readonly Entry[];
}

export async function requireTarget(
  context: Pick<Context, 'record'>,
  typed: string,
): Promise<CorrectionTarget> {
  const store = await context.record('read');
  const id = typed.trim().toLowerCase();
  const named = await store?.entry(id);
  // Whoever names a correction means what it corrects: the newest one says it all.
  const first = named?.kind === 'correction' ? knownEntry(named) : undefined;
  const entry = first?.kind === 'correction' ? await store?.entry(first.body.corrects.id) : named;
  if (store === undefined || entry === undefined) {
    throw new Failure({
      code: 'entry-unknown',
      exit: 2,
      summary: 'There is no such entry.',
      seen: printable(typed, 60),
      expected: 'the id of an entry, such as k7mq4rt2-17',
      where: '--corrects',
      next: 'slotproof units show SERIAL lists the entries of a unit with their ids.',
    });
  }
  requireCorrectable(entry);
  const all = await entriesAround(store, entry);
  const stands = corrected(entry, correctionsIn(all));
  return {
    entry,
    stands: stands ?? entry,
    isVoid: stands === undefined,
    repeats: repeatsOf(entry, all),
  };
}

/** All of its unit; of an entry without one the corrections alone matter. */
async function entriesAround(store: RecordStore<UnitRecord>, entry: Entry): Promise<Entry[]> {
  const { serial } = entry.body;
  const all: Entry[] = [];
  const query = typeof serial === 'string' ? { serial } : { kind: 'correction' };
  for await (const one of store.entries(query)) all.push(one);
  return all;
}

const walkKinds = ['visit-begun', 'step-done', 'visit-ended'];

function requireCorrectable(entry: Entry): void {
  const known = knownEntry(entry);
  const telling =
    known === undefined
      ? {
          code: 'kind-unknown',
          summary: 'A newer version of slotproof wrote this entry.',
          next: 'Correct it with the newer version.',
        }
      : walkKinds.includes(known.kind)
        ? {
            code: 'walk-not-corrected',
            summary: 'The steps of a visit stay as they were written.',
            next: 'Correct the outcome that was logged with the end of the visit.',
          }
        : undefined;
  if (telling === undefined) return;
  throw new Failure({ ...telling, exit: 2, seen: printable(entry.kind, 40), where: printable(entry.id) });
}

/** Those that do not count, now, since they say what this one says. The one that counts is the one to correct. */
function repeatsOf(entry: Entry, all: readonly Entry[]): Entry[] {
  const target = knownEntry(entry);
  if (target?.kind !== 'outcome') return [];
  const repeats = repeatedOutcomes();
  const says = statementIdOf(target.body);
  const same = (body: OutcomeLogged) =>
    statementIdOf(body) === says ||
    (body.collected !== undefined && body.collected.id === target.body.collected?.id);
  const found: Entry[] = [];
  let counting: Entry | undefined;
  for (const one of inClaimedOrder(asCorrected(all))) {
    const known = knownEntry(one);
    if (known?.kind !== 'outcome') continue;
    const isRepeat = repeats(known.body);
    if (!same(known.body)) continue;
    if (!isRepeat) counting = one;
    else if (one.id !== entry.id) found.push(one);
    else throw onlyRepeats(entry, counting);
  }
  return found.map(({ id }) => all.find((one) => one.id === id)).filter((one) => one !== undefined);
}

function onlyRepeats(entry: Entry, counting: Entry | undefined): Failure {
  return new Failure({
    code: 'only-repeats',
    exit: 2,
    summary: 'This entry only says again what another one says, and does not count.',
    seen: printable(entry.id),
    ...(counting === undefined ? {} : { expected: printable(counting.id) }),
    where: '--corrects',
    next: `Correct ${printable(counting?.id ?? 'the other one')} instead.`,
  });
}
