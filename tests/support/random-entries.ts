// Random entries of a few units, of every kind, for fast-check: few serials, sites, versions and times, so that
// ties, repeats and contradictions are frequent.

import fc from 'fast-check';
import { noPrev } from '../../src/ports/record-rules.ts';
import type { Entry, EntryDraft } from '../../src/ports/record-store.ts';
import { draftEntry, type EntryBodies, type EntryKind } from '../../src/record/entry.ts';
import { openEntry, sealEntry } from '../../src/record/seal-entry.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';
import { newYear, utc } from './entries.ts';

const serial = fc.constantFrom('A', 'B', 'C');
const site = fc.constantFrom('Alder Farm', 'Birch', null);
const text = fc.constantFrom('x', 'ä "quoted"', '{"a":1}');
const version = fc.constantFrom('3.8.0', '4.0.0', '4.2.0');
const maybe = <T>(value: fc.Arbitrary<T>) => fc.option(value, { nil: undefined });
const detail = fc.constantFrom('role', 'notes', 'access');

const bodies: { readonly [K in EntryKind]: fc.Arbitrary<EntryBodies[K]> } = {
  'unit-added': fc.record({
    serial,
    product: fc.constantFrom('rill-40', 'lume-2'),
    hardware: fc.constantFrom('A', 'B', null),
    site,
    details: fc.dictionary(detail, text, { maxKeys: 2 }),
  }),
  'unit-changed': fc.record(
    {
      serial,
      product: fc.constantFrom('rill-40', 'lume-2'),
      hardware: fc.constantFrom('A', 'B', null),
      site,
      details: fc.dictionary(detail, fc.option(text), { maxKeys: 2 }),
    },
    { requiredKeys: ['serial'] },
  ),
  'unit-moved': fc.record(
    { serial, site, from: site, details: fc.dictionary(detail, fc.option(text), { maxKeys: 2 }), why: text },
    { requiredKeys: ['serial', 'site', 'from'] },
  ),
  'unit-retired': fc.record({ serial, why: text }, { requiredKeys: ['serial'] }),
  'exemption-begun': fc.record({ serial, why: text, until: fc.constantFrom('2026-03-31', null) }),
  'exemption-ended': fc.record({ serial, why: text }, { requiredKeys: ['serial'] }),
  'version-seen': fc.record({
    serial,
    version,
    evidence: fc.constantFrom('read' as const, 'reported' as const),
    dated: fc.boolean(),
  }),
  'card-prepared': fc.record({
    card: text,
    release: fc.constant('rill-40@4.0.0'),
    verdict: fc.constant('ready' as const),
    file: fc.constant({ path: 'RILL40.FWU', bytes: 1, sha256: 'ab'.repeat(32) }),
    readBack: fc.constant({ method: 'image' as const, sha256: 'ab'.repeat(32) }),
    sizeBytes: fc.constant(4e9),
    fresh: fc.boolean(),
    kept: fc.nat(3),
    removed: fc.nat(3),
  }),
  'card-checked': fc.record({ card: text, verdict: fc.constant('sound' as const), stops: fc.constant([]) }),
  outcome: fc
    .record({
      serial,
      outcome: fc.constantFrom(
        'updated' as const,
        'failed' as const,
        'deferred' as const,
        'already-current' as const,
      ),
      evidence: fc.constantFrom('lights' as const, 'read' as const, 'reported' as const),
      release: maybe(fc.constantFrom('rill-40@4.0.0', 'rill-40@4.2.0')),
      versionRead: maybe(version),
      left: maybe(fc.constantFrom('running' as const, 'off' as const, 'locked-off' as const)),
      reason: maybe(fc.constantFrom('no-access', 'no-time')),
      cause: maybe(fc.constantFrom('card', 'unit')),
      card: maybe(text),
      said: maybe(fc.constantFrom('updated' as const)),
      sheet: maybe(fc.constantFrom('K7MD-29XH', 'C4DF-23HJ')),
      collected: maybe(
        fc.record({
          form: fc.constantFrom(
            'file' as const,
            'qr' as const,
            'code' as const,
            'code' as const,
            'result-file' as const,
          ),
          id: fc.constantFrom('a'.repeat(32), 'b'.repeat(32), 'c'.repeat(32)),
        }),
      ),
    })
    .map(
      (body) => Object.fromEntries(Object.entries(body).filter(([, value]) => value !== undefined)) as never,
    ),
  'visit-begun': fc.record({
    serial,
    release: fc.constant('rill-40@4.2.0'),
    procedure: fc.constant('cd'.repeat(32)),
  }),
  'step-done': fc.record({
    serial,
    visit: fc.constant('k7mq4rt2-1'),
    part: fc.constantFrom('before' as const, 'procedure' as const, 'resume' as const, 'after' as const),
    step: fc.constantFrom('stop', 'look', 'plate'),
    result: fc.constantFrom('done', 'late'),
    positions: fc.dictionary(fc.constantFrom('card', 'supply'), fc.constantFrom('in', 'off')),
    facts: fc.dictionary(fc.constantFrom('readings', 'version'), fc.oneof(text, fc.constant([0.4, -1.2]))),
  }),
  'visit-ended': fc.record({
    serial,
    visit: fc.constant('k7mq4rt2-1'),
    release: fc.constant('rill-40@4.2.0'),
    outcome: fc.constantFrom('updated' as const, 'failed' as const),
    by: fc.constantFrom('procedure' as const, 'stop' as const),
    positions: fc.dictionary(fc.constantFrom('card', 'supply'), fc.constantFrom('in', 'off')),
    notRestored: fc.array(text, { maxLength: 2 }),
  }),
  'card-retired': fc.record({ card: text, why: text }),
  'release-taken-in': fc.record({
    release: fc.constant('rill-40@4.0.0'),
    file: fc.constant('RILL40.FWU'),
    bytes: fc.nat(),
    digests: fc.constant({ sha256: 'ab'.repeat(32) }),
    as: fc.constantFrom('image' as const, 'download' as const),
    verdict: fc.constant('matches' as const),
  }),
  'release-withdrawn': fc.record({ release: fc.constant('rill-40@4.0.0'), why: text }),
  note: fc.record({ serial, card: text, text }, { requiredKeys: ['text'] }),
  // Aimed at an entry once there is one (`aimed`); as it is, it names none.
  correction: fc.nat(1000).map((number) => ({
    corrects: { id: `nobody-${number + 1}`, hash: 'ef'.repeat(32) },
    kind: 'outcome',
    why: 'x',
    void: true as const,
  })),
};

const kinds = Object.keys(bodies) as EntryKind[];

/** Claimed within four days, to the hour: ties are common. */
const claimedMs = fc.nat(96).map((hours) => newYear + hours * 3_600_000);

const draftsOf = (...some: readonly EntryKind[]): fc.Arbitrary<EntryDraft> =>
  fc
    .record({ kind: fc.constantFrom(...some), claimedMs, by: text })
    .chain(({ kind, claimedMs: atMs, by }) =>
      (bodies[kind] as fc.Arbitrary<EntryBodies[EntryKind]>).map((body) =>
        draftEntry(kind, { claimedAt: formatLocalTime(atMs, utc), typedBy: 'R. Quill', doneBy: by }, body),
      ),
    );

const known = draftsOf(...kinds, 'unit-added', 'outcome', 'correction');

const strange: fc.Arbitrary<EntryDraft> = fc
  .record({ draft: known, kind: fc.constantFrom('recalled', undefined) })
  .map(({ draft, kind }) => (kind === undefined ? { ...draft, kindVersion: 2 } : { ...draft, kind }));

export const randomDrafts: fc.Arbitrary<EntryDraft[]> = fc.array(
  fc.oneof({ weight: 9, arbitrary: known }, { weight: 1, arbitrary: strange }),
  { maxLength: 30 },
);

/**
 * A correction, pointed at one of the entries that there are; other drafts as they are. Now and then it is one that
 * must not count: of another hash, kind or unit. The new body is of any entry of that kind and unit, or of none (void).
 */
export function aimed(draft: EntryDraft, before: readonly Entry[]): EntryDraft {
  if (draft.kind !== 'correction' || draft.kindVersion !== 1 || before.length === 0) return draft;
  const number = Number((draft.body as { corrects: { id: string } }).corrects.id.split('-')[1]);
  // Mostly one of a few, so that corrections often meet.
  const few = number % 5 === 0 ? before.length : Math.min(before.length, 4);
  const entry = before[number % few]!;
  const same = before.filter(({ kind, body }) => kind === entry.kind && body.serial === entry.body.serial);
  const other = same[Math.trunc(number / 7) % same.length]!;
  const { serial } = entry.body;
  // Of another kind than its entry it says nothing instead: what it said would not have the form of that kind.
  const says =
    number % 4 === 0 || number % 17 === 1
      ? { void: true }
      : { body: other.body, bodyVersion: other.kindVersion };
  const body = {
    ...(serial === undefined ? {} : { serial }),
    corrects: { id: entry.id, hash: number % 7 === 1 ? 'ef'.repeat(32) : entry.hash },
    kind: number % 17 === 1 ? 'unit-retired' : entry.kind,
    why: 'x',
    ...says,
    ...(number % 19 === 1 ? { serial: 'C' } : {}),
  };
  return { ...draft, ...(number % 3 === 0 ? {} : { claimedAt: entry.claimedAt }), body } as EntryDraft;
}

/** Of one unit, every second a correction: they meet, contradict each other and miss. */
const correctedDrafts: fc.Arbitrary<EntryDraft[]> = fc
  .array(draftsOf('unit-added', 'unit-moved', 'version-seen', 'correction', 'correction', 'correction'), {
    maxLength: 16,
  })
  .map((drafts) =>
    drafts.map((draft) =>
      draft.kind === 'correction' ? draft : { ...draft, body: { ...draft.body, serial: 'A' } },
    ),
  );

/** Entries of two laptops, written at times of their own, corrections aimed. */
export const randomEntries = entriesFrom(randomDrafts);
export const correctedEntries = entriesFrom(correctedDrafts);
/** Of the register alone: units come, move, are put right, go and come back. */
export const registerEntries = entriesFrom(
  fc.array(draftsOf('unit-added', 'unit-moved', 'unit-changed', 'unit-retired', 'correction'), {
    maxLength: 24,
  }),
);

function entriesFrom(someDrafts: fc.Arbitrary<EntryDraft[]>): fc.Arbitrary<Entry[]> {
  return fc
    .tuple(someDrafts, fc.infiniteStream(fc.tuple(fc.constantFrom('aaaaaaaa', 'bbbbbbbb'), fc.nat(3))))
    .map(([drafts, places]) => {
      const next: Record<string, number> = {};
      const made: Entry[] = [];
      for (const draft of drafts) {
        const [laptop, hour] = places.next().value as [string, number];
        next[laptop] = (next[laptop] ?? 0) + 1;
        const writtenAt = formatLocalTime(newYear + hour * 3_600_000, utc);
        const place = { laptop, seq: next[laptop], prev: noPrev, writtenAt };
        made.push(openEntry(sealEntry(aimed(draft, made), place))!);
      }
      return made;
    });
}
