// What the entries of one unit add up to. Always from all of them, in order of claimed time: an entry that
// comes in late, from another laptop or with an earlier time, then needs no case of its own. Corrections come
// first (`as-corrected.ts`), as they are known now, also for an earlier day. Kinds that are not known add nothing.
// The status is not worked out here: it depends on the manifests and the day.

import type { Entry } from '../ports/record-store.ts';
import { asCorrected } from './as-corrected.ts';
import { type EntryBodies, type EntryKind, knownEntry } from './entry.ts';
import { inClaimedOrder } from './entry-order.ts';
import { repeatedOutcomes } from './repeated-outcomes.ts';
import type { UnitRecord } from './unit-record.ts';
import type { Outcome, UnitState, VersionKnown } from './unit-state.ts';

type Draft = { -readonly [K in keyof UnitState]: UnitState[K] } & {
  /** In order; the newest last. */
  versions: VersionKnown[];
  repeats: (body: EntryBodies['outcome']) => boolean;
};

type Case<K extends EntryKind> = (unit: Draft, body: EntryBodies[K], entry: Entry) => void;

/** One case a kind. Those of a card or a release, and the single steps of a walk, say nothing of a unit. */
const cases: { readonly [K in EntryKind]: Case<K> | null } = {
  'unit-added': (unit, { product, hardware, site, details }) => {
    unit.retired = false;
    Object.assign(unit, { product, hardware, site, details: { ...details } });
  },
  'unit-changed': (unit, { product, hardware, site, details }) => {
    if (product !== undefined) unit.product = product;
    if (hardware !== undefined) unit.hardware = hardware;
    if (site !== undefined) unit.site = site;
    if (details !== undefined) unit.details = withChanges(unit.details, details);
  },
  'unit-moved': (unit, { site, details }) => {
    unit.site = site;
    if (details !== undefined) unit.details = withChanges(unit.details, details);
  },
  'unit-retired': (unit) => {
    unit.retired = true;
  },
  'exemption-begun': (unit, { why, until }) => {
    unit.exempt = { until, why };
  },
  'exemption-ended': (unit) => {
    unit.exempt = null;
  },
  'version-seen': (unit, { version, evidence, dated }, { claimedMs }) => {
    unit.versions.push({ atMs: claimedMs, dated: dated || evidence === 'read', evidence, version });
  },
  outcome: (unit, body, entry) => {
    if (unit.repeats(body)) return;
    const outcome = outcomeOf(body, entry);
    unit.lastOutcome = outcome;
    if (outcome.kind !== 'deferred') unit.lastDecisive = outcome;
    if (outcome.left !== undefined) unit.left = outcome.left;
    // Lights alone say nothing of the version; one that was read counts, whatever the outcome.
    if (body.versionRead !== undefined) {
      unit.versions.push({ atMs: entry.claimedMs, dated: true, evidence: 'read', version: body.versionRead });
    }
  },
  // A walk's own entries: what they amount to stands in the outcome that is written with its end.
  'visit-begun': null,
  'step-done': null,
  'visit-ended': null,
  'card-prepared': null,
  'card-checked': null,
  'card-retired': null,
  'release-taken-in': null,
  'release-withdrawn': null,
  note: null,
  // Applied before anything is added up.
  correction: null,
};

/**
 * Of all entries of one unit, those claimed before `claimedBeforeMs`. A unit that was registered later stands as
 * it was first registered. undefined where no entry registers it.
 */
export function foldUnit(
  entries: readonly Entry[],
  claimedBeforeMs = Number.POSITIVE_INFINITY,
): UnitRecord | undefined {
  const ordered = inClaimedOrder(asCorrected(entries));
  const newest = ordered.at(-1);
  const registering = ordered.find((entry) => knownEntry(entry)?.kind === 'unit-added');
  if (newest === undefined || registering === undefined) return undefined;
  const unit = emptyUnit(String(newest.body.serial));
  if (registering.claimedMs >= claimedBeforeMs) apply(unit, registering);
  for (const entry of ordered) if (entry.claimedMs < claimedBeforeMs) apply(unit, entry);
  const { versions } = unit;
  // Names in the order in which they are written (RFC 8785): nothing has to be sorted then.
  return {
    details: unit.details,
    exempt: unit.exempt,
    hardware: unit.hardware,
    lastDecisive: unit.lastDecisive,
    lastOutcome: unit.lastOutcome,
    left: unit.left,
    newestMs: newest.claimedMs,
    product: unit.product,
    readSince: readSince(versions, unit.lastDecisive),
    reported: {
      dated: versions.findLast(({ evidence, dated }) => evidence === 'reported' && dated) ?? null,
      undated: versions.findLast(({ evidence, dated }) => evidence === 'reported' && !dated) ?? null,
    },
    retired: unit.retired,
    serial: unit.serial,
    site: unit.site,
    version: versionThatCounts(versions),
    versionRead: versions.findLast(({ evidence }) => evidence === 'read') ?? null,
  };
}

function readSince(versions: readonly VersionKnown[], outcome: Outcome | null): string[] {
  if (outcome === null) return [];
  const read = versions.filter(({ evidence, atMs }) => evidence === 'read' && atMs > outcome.atMs);
  return [...new Set(read.map(({ version }) => version))];
}

function emptyUnit(serial: string): Draft {
  return {
    serial,
    product: '',
    hardware: null,
    site: null,
    details: {},
    retired: false,
    version: null,
    versionRead: null,
    lastOutcome: null,
    lastDecisive: null,
    readSince: [],
    exempt: null,
    left: null,
    versions: [],
    repeats: repeatedOutcomes(),
  };
}

function apply(unit: Draft, entry: Entry): void {
  const known = knownEntry(entry);
  if (known !== undefined) (cases[known.kind] as Case<EntryKind> | null)?.(unit, known.body, entry);
}

/**
 * The latest counts, but a reported one without its own date never overrides one that was read: nobody knows
 * how old it is. Where any version was read, undated ones are therefore out of the running altogether.
 */
function versionThatCounts(versions: readonly VersionKnown[]): VersionKnown | null {
  const anyRead = versions.some(({ evidence }) => evidence === 'read');
  return versions.findLast(({ dated }) => dated || !anyRead) ?? null;
}

function withChanges(
  details: Readonly<Record<string, string>>,
  changes: Readonly<Record<string, string | null>>,
): Record<string, string> {
  const changed = Object.entries({ ...details, ...changes });
  return Object.fromEntries(changed.filter((pair): pair is [string, string] => pair[1] !== null));
}

function outcomeOf(body: EntryBodies['outcome'], entry: Entry): Outcome {
  const { outcome, evidence, release, versionRead, reason, cause, card } = body;
  const left = body.left ?? (outcome === 'updated' ? 'running' : undefined);
  return {
    atMs: entry.claimedMs,
    by: entry.doneBy,
    ...(card === undefined ? {} : { card }),
    ...(cause === undefined ? {} : { cause }),
    entryId: entry.id,
    evidence,
    kind: outcome,
    ...(left === undefined ? {} : { left }),
    ...(reason === undefined ? {} : { reason }),
    ...(release === undefined ? {} : { release }),
    ...(versionRead === undefined ? {} : { versionRead }),
  };
}
