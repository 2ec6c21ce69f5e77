// What a walk writes to the record, and how one that broke off is found there again. Every step is on the disk
// before the next one is shown; the end of a walk and its outcome are written together or not at all.

import { type OutcomeClaim, planOutcome, withDisplayConfirmed } from '../fleet/plan-outcome.ts';
import type { Routes } from '../fleet/routes.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { EntryAddress, EntryDraft, JsonValue, RecordStore } from '../ports/record-store.ts';
import { aloneOnSite, type SiteTurn } from '../procedure/site-turn.ts';
import { type DoneStep, namedPositions, type Walk, type WalkPlan } from '../procedure/walk/walk.ts';
import { draftEntry, type KnownEntry, knownEntry, type OutcomeLogged } from '../record/entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import type { UnitState } from '../record/unit-state.ts';
import { formatLocalTime } from '../words/local-time.ts';
import type { Context } from './context.ts';

type Entries<K extends KnownEntry['kind']> = Extract<KnownEntry, { kind: K }>;

/** A walk of this laptop that has begun and not ended. */
export interface OpenVisit {
  /** Id of its `visit-begun` entry. */
  readonly id: string;
  readonly begunMs: number;
  readonly release: string;
  readonly procedure: string;
  readonly turn: SiteTurn;
  readonly done: readonly DoneStep[];
}

/** The newest one of this unit, where it got as far as the procedure and nothing has been logged since. */
export async function findOpenVisit(
  store: RecordStore<UnitRecord> | undefined,
  serial: string,
): Promise<OpenVisit | undefined> {
  if (store === undefined) return undefined;
  let begun: Entries<'visit-begun'> | undefined;
  const steps: Entries<'step-done'>[] = [];
  const over: KnownEntry[] = [];
  for await (const entry of store.entries({ serial })) {
    const known = knownEntry(entry);
    if (known?.kind === 'outcome') over.push(known);
    if (known === undefined || known.laptop !== store.laptop) continue;
    if (known.kind === 'visit-ended') over.push(known);
    if (known.kind === 'step-done') steps.push(known);
    if (known.kind === 'visit-begun' && known.seq > (begun?.seq ?? 0)) begun = known;
  }
  if (begun === undefined) return undefined;
  const { id, seq, body, claimedMs } = begun;
  const own = steps.filter((step) => step.body.visit === id).sort((a, b) => a.seq - b.seq);
  const lastMs = own.at(-1)?.claimedMs ?? claimedMs;
  const isOver = over.some((entry) =>
    entry.laptop === store.laptop ? entry.seq > seq : entry.claimedMs > lastMs,
  );
  if (
    isOver ||
    !own.some(
      ({ body: { part, step, result } }) => part === 'before' && step === 'starts' && result === 'as-said',
    )
  )
    return undefined;
  return {
    id,
    begunMs: claimedMs,
    release: body.release,
    procedure: body.procedure,
    turn: body.turn ?? aloneOnSite,
    done: own.map(doneStep),
  };
}

function doneStep({ body, claimedMs }: Entries<'step-done'>): DoneStep {
  const { part, step, result, pattern, positions, facts } = body;
  return {
    part,
    step,
    result,
    ...(pattern !== undefined && { pattern }),
    atMs: claimedMs,
    positions,
    facts: facts as DoneStep['facts'],
  };
}

export interface VisitLog {
  /** Id of the visit; undefined as long as nothing of it is on record. */
  readonly id: string | undefined;
  /** The entries of what was done since the last call. */
  keep(walk: Walk): Promise<void>;
  /** The rest, the outcome and the end, together. */
  end(walk: Walk): Promise<{
    readonly entry: EntryAddress;
    readonly body: OutcomeLogged;
    readonly notices: readonly string[];
  }>;
}

export interface VisitLogFacts {
  readonly context: Context;
  readonly store: RecordStore<UnitRecord>;
  readonly plan: WalkPlan;
  readonly unit: UnitState;
  readonly routes: Routes;
  readonly procedure: string;
  readonly turn: SiteTurn;
  readonly typedBy: string;
  readonly doneBy: string | undefined;
  /** Said in the outcome's note. */
  readonly remark: string | undefined;
  readonly open: OpenVisit | undefined;
}

export function visitLog(facts: VisitLogFacts): VisitLog {
  const { context, store, plan, unit, routes, typedBy, doneBy } = facts;
  const { serial } = unit;
  const release = releaseKey(plan.release);
  let visit = facts.open?.id;
  let kept = 0;
  const signed = (atMs: number) => ({ claimedAt: formatLocalTime(atMs, context.clock), typedBy, doneBy });

  /** The visit's own entry comes first: the others name it. */
  const begin = async (atMs: number): Promise<string> => {
    const { procedure, turn } = facts;
    const isAlone = turn.first && turn.last;
    const body = { serial, release, procedure, ...(isAlone ? {} : { turn }) };
    const [entry] = await store.append([draftEntry('visit-begun', signed(atMs), body)]);
    if (entry === undefined) throw new Error('the record took an entry without saying where');
    return entry.id;
  };
  const drafts = async (walk: Walk): Promise<EntryDraft[]> => {
    const fresh = walk.done.slice(kept);
    const first = fresh[0];
    if (first !== undefined) visit ??= await begin(first.atMs);
    return fresh.flatMap((item) => stepDrafts(item, serial, visit!, signed(item.atMs)));
  };

  return {
    get id() {
      return visit;
    },
    async keep(walk) {
      const list = await drafts(walk);
      if (list.length > 0) await store.append(list);
      kept = walk.done.length;
    },
    async end(walk) {
      const list = await drafts(walk);
      visit ??= await begin(walk.atMs);
      const outcome = planOutcome(claimOf(walk, release, facts.remark), unit, routes);
      // Another version than the release's was read and typed twice: it is what the display shows.
      const body = outcome.versionInDoubt === 'other' ? withDisplayConfirmed(outcome.body) : outcome.body;
      const reached = walk.begun ? plan.product.procedure[walk.at.step] : undefined;
      const ended = {
        serial,
        visit,
        release,
        outcome: body.outcome,
        ...(reached?.kind === 'end' && { step: reached.id }),
        by: walk.result!.by,
        positions: walk.begun ? namedPositions(plan, walk.at.positions) : {},
        notRestored: walk.notes.notRestored,
      };
      const signature = signed(walk.atMs);
      const addresses = await store.append([
        ...list,
        draftEntry('outcome', signature, body),
        draftEntry('visit-ended', signature, ended),
      ]);
      kept = walk.done.length;
      return { entry: addresses.at(-2)!, body, notices: outcome.notices };
    },
  };
}

type Signed = Parameters<typeof draftEntry>[1];

/** A version that was read before the procedure is one that our own people read, whatever becomes of the visit. */
function stepDrafts(item: DoneStep, serial: string, visit: string, signature: Signed): EntryDraft[] {
  const { atMs: _at, facts, ...rest } = item;
  const done = draftEntry('step-done', signature, {
    serial,
    visit,
    ...rest,
    facts: facts as Readonly<Record<string, JsonValue>>,
  });
  const { version } = facts;
  const wasRead = item.part === 'before' && item.step === 'version-before' && typeof version === 'string';
  if (!wasRead || item.result === 'same') return [done];
  return [done, draftEntry('version-seen', signature, { serial, version, evidence: 'read', dated: true })];
}

function claimOf({ result, notes }: Walk, release: string, remark: string | undefined): OutcomeClaim {
  if (result === null) throw new RangeError('a walk without a result has no outcome');
  const lost = notes.notRestored.length === 0 ? undefined : `Not restored: ${notes.notRestored.join(', ')}.`;
  const note = [notes.why ?? undefined, lost, remark].filter((one) => one !== undefined).join(' ');
  const { outcome, left, reason, cause, caseNumber, told } = result;
  return {
    outcome,
    release,
    ...(notes.versionBefore !== null && { versionBefore: notes.versionBefore }),
    ...(notes.versionRead !== null && { versionRead: notes.versionRead }),
    ...(notes.lights !== null && { lights: notes.lights }),
    ...(left !== null && { left }),
    ...(reason !== null && { reason }),
    ...(cause !== null && { cause }),
    ...(caseNumber !== null && { case: caseNumber }),
    ...(told !== null && { told }),
    ...(notes.card !== null && { card: notes.card }),
    ...(note !== '' && { note }),
  };
}
