// What taking in has in common, whatever the outcome came by: the unit that is meant, refusals as values, and the entry
// with what the unit's status becomes.

import type { Routes } from '../../fleet/routes.ts';
import { standingOf } from '../../fleet/status.ts';
import type { EntryAddress } from '../../ports/record-store.ts';
import { draftEntry, type OutcomeLogged, type VersionSeen } from '../../record/entry.ts';
import type { UnitRecord } from '../../record/unit-record.ts';
import { Failure } from '../../words/failure.ts';
import { formatLocalTime } from '../../words/local-time.ts';
import { printable } from '../../words/printable.ts';
import type { Context } from '../context.ts';
import { findRegisteredUnit } from '../registered-unit.ts';
import { statusText } from '../unit-view.ts';
import type { PageOffer, Refusal } from './offer.ts';
import type { PageOutcome, PageWanted } from './read-page.ts';
import type { SheetShelf } from './sheet-shelf.ts';

export interface Desk {
  readonly context: Context;
  readonly shelf: SheetShelf;
  readonly wanted: PageWanted;
  readonly routes: Routes;
  readonly typedBy: string;
  /** `--at` and `--by`, where given. */
  readonly atMs: number | undefined;
  readonly by: string | undefined;
  /** `--by`, or who is asked for it. */
  askSigns(
    offer: PageOffer,
    outcome: PageOutcome,
  ): Promise<{ readonly atMs: number; readonly by: string | undefined }>;
}

export type RefusalFacts = Pick<Refusal, 'source' | 'serial' | 'sheet'>;

export interface Taken {
  readonly taken: true;
  readonly source: string;
  readonly body: OutcomeLogged;
  readonly entry: EntryAddress;
  readonly status: string;
  readonly statusText: string;
  readonly by: string;
  readonly notices: readonly string[];
}

export function isTaken(result: Taken | Refusal): result is Taken {
  return 'taken' in result;
}

export function refusal(facts: RefusalFacts, code: string, summary: string, next: string): Refusal {
  return { ...facts, code, summary, next };
}

/** What the rules refuse becomes a refusal. */
export function judged<T>(facts: RefusalFacts, act: () => T): T | Refusal {
  try {
    return act();
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    const { code, summary, seen, next } = error.facts;
    return refusal(facts, code, seen === undefined ? summary : `${summary} Seen: ${seen}.`, next);
  }
}

/** In service, and the one that is asked for where one is. */
export async function findUnit(
  { context, wanted }: Desk,
  serial: string,
  facts: RefusalFacts,
): Promise<UnitRecord | Refusal> {
  const store = await context.record('read');
  const unit = store === undefined ? undefined : await findRegisteredUnit(context, store, serial);
  const shown = printable(serial, 80);
  if (unit === undefined) {
    return refusal(
      facts,
      'unit-unknown',
      `${shown} is not registered.`,
      `Compare it with the plate, then: slotproof units add ${shown}`,
    );
  }
  if (unit.retired) {
    const next = `If it is back in service: slotproof units add ${shown}; then collect the same again.`;
    return refusal(facts, 'unit-retired', `${shown} is retired.`, next);
  }
  if (wanted.serial !== undefined && wanted.serial !== unit.serial) {
    const summary = `It is of ${shown}, not of ${printable(wanted.serial, 80)}.`;
    return refusal(facts, 'wrong-unit', summary, 'If it is meant all the same, leave --unit out.');
  }
  return unit;
}

export interface ToWrite {
  readonly source: string;
  readonly unit: UnitRecord;
  readonly bodies: readonly [OutcomeLogged, ...VersionSeen[]];
  readonly notices: readonly string[];
  readonly atMs: number;
  readonly by: string | undefined;
}

export async function writeOutcome(desk: Desk, order: ToWrite): Promise<Taken> {
  const { context, routes, typedBy } = desk;
  const { source, unit, bodies, notices, atMs, by } = order;
  const store = await context.record('write');
  const signature = { claimedAt: formatLocalTime(atMs, context.clock), typedBy, doneBy: by };
  const [outcome, ...versions] = bodies;
  const [entry] = await store.append([
    draftEntry('outcome', signature, outcome),
    ...versions.map((seen) => draftEntry('version-seen', signature, seen)),
  ]);
  if (entry === undefined) throw new Error('the record took an entry without saying where');
  const standing = standingOf((await store.unit(unit.serial)) ?? unit, routes);
  return {
    taken: true,
    source,
    body: outcome,
    entry,
    status: standing.status,
    statusText: statusText(standing),
    by: by ?? typedBy,
    notices,
  };
}
