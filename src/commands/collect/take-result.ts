// The file that a unit left on its card, into the record. What a unit wrote is a report: our own people have not read
// the version from the unit, the file may be old or from another card, so it counts as `reported` and makes no unit
// current. It never takes the place of what was read.

import { sha256Hex } from '../../bytes/sha256.ts';
import { readResultFile, type UnitResult } from '../../fleet/read-result-file.ts';
import { releaseKey } from '../../manifest/catalogue.ts';
import type { Product } from '../../manifest/schema.ts';
import type { Entry } from '../../ports/record-store.ts';
import { asCorrected } from '../../record/as-corrected.ts';
import { canonicalText } from '../../record/canonical-text.ts';
import { type KnownEntry, knownEntry, type VersionSeen } from '../../record/entry.ts';
import { inClaimedOrder } from '../../record/entry-order.ts';
import type { UnitRecord } from '../../record/unit-record.ts';
import { formatLocalDay } from '../../words/local-time.ts';
import { printable } from '../../words/printable.ts';
import { keepEvidence } from '../keep-evidence.ts';
import { settleUnasked } from '../settle-outcome.ts';
import { byHand, logWhatItShows, type Refusal, type ResultOffer } from './offer.ts';
import { type Desk, findUnit, judged, type RefusalFacts, refusal, type Taken, writeOutcome } from './take.ts';

interface Meant {
  readonly product: Product;
  readonly result: UnitResult;
}

export async function takeResult(desk: Desk, offer: ResultOffer): Promise<Taken | Refusal> {
  const { source, bytes } = offer;
  const meant = meantOf(offer);
  if ('source' in meant) return meant;
  const { product, result } = meant;
  const facts = { source, serial: printable(result.serial, 80) };
  const unit = await findUnit(desk, result.serial, facts);
  if ('source' in unit) return unit;
  if (unit.product !== product.id) {
    const summary = `The file is one of a ${product.id}, but this unit is registered as ${printable(unit.product)}.`;
    return refusal(
      facts,
      'other-product',
      summary,
      `Compare the serial with the plate, then: slotproof units show ${facts.serial}`,
    );
  }
  const id = idOf(unit, bytes);
  const before = await repeatedBy(desk, unit, result, id, facts);
  if (before !== undefined) return before;
  const release = releaseOf(desk, unit, result);
  if (release === 'unknown') {
    const summary = `It says that version ${printable(result.version ?? '', 60)} is in, and no release of ${product.id} that is known here has it.`;
    return refusal(
      facts,
      'release-unknown',
      summary,
      "Put that release's manifest into the workspace, then collect the same again.",
    );
  }
  const note = `The unit wrote ${printable(result.status, 40)}${result.version === undefined ? '' : `, version ${printable(result.version, 60)}`}.`;
  const settled = judged(facts, () =>
    settleUnasked(
      {
        outcome: result.outcome,
        ...(release === undefined ? {} : { release }),
        ...(offer.card === undefined ? {} : { card: offer.card }),
        note,
      },
      unit,
      desk.routes,
      false,
    ),
  );
  if ('source' in settled) return settled;
  desk.context.workspace.make();
  const sha256 = keepEvidence(desk.context, bytes, 'txt');
  // A unit's file says nothing of how it was left.
  const { left: _, ...body } = settled.body;
  return writeOutcome(desk, {
    source,
    unit,
    bodies: [{ ...body, collected: { form: 'result-file', id, sha256 } }, ...versionOf(desk, unit, result)],
    notices: [...settled.notices, ...notices(result)],
    atMs: desk.atMs ?? desk.context.clock.now(),
    by: desk.by,
  });
}

function notices({ outcome }: UnitResult): string[] {
  return outcome === 'updated'
    ? ['What the unit wrote counts as reported: read the version from the unit to confirm it.']
    : ['What the unit wrote counts as reported. How it was left is not said: log that.'];
}

/** The product whose pattern it fits; the others' reasons count only where none does. */
function meantOf({ source, bytes, products }: ResultOffer): Meant | Refusal {
  const readings = products.map((product) => ({ product, reading: readResultFile(bytes, product) }));
  const fitting = readings.flatMap(({ product, reading }) =>
    reading.ok ? [{ product, result: reading.result }] : [],
  );
  const [first, second] = fitting;
  if (first !== undefined && second === undefined) return first;
  if (first !== undefined && second !== undefined) {
    const names = fitting.map(({ product }) => product.id).join(', ');
    const summary = `It fits the result files of several products: ${names}.`;
    return refusal({ source }, 'result-several', summary, logWhatItShows);
  }
  const why = readings.flatMap(({ reading }) => (reading.ok ? [] : [reading]));
  const telling = why.find(({ code }) => code !== 'result-form') ?? why[0];
  return refusal(
    { source },
    telling?.code ?? 'result-form',
    telling?.summary ?? 'No product leaves such a file.',
    logWhatItShows,
  );
}

function idOf(unit: UnitRecord, bytes: Uint8Array): string {
  return sha256Hex(canonicalText({ serial: unit.serial, file: sha256Hex(bytes) })).slice(0, 32);
}

type OutcomeEntry = Extract<KnownEntry, { kind: 'outcome' }>;

/** Taken already, or said already by somebody who read it from the unit. */
async function repeatedBy(
  { context, routes }: Desk,
  unit: UnitRecord,
  { outcome, version }: UnitResult,
  id: string,
  facts: RefusalFacts,
): Promise<Refusal | undefined> {
  const store = await context.record('read');
  const all: Entry[] = [];
  for await (const entry of store?.entries({ serial: unit.serial }) ?? []) all.push(entry);
  // As written: what was made void was taken all the same, and does not come back by itself.
  for (const entry of all) {
    const known = knownEntry(entry);
    if (known?.kind !== 'outcome') continue;
    if (known.body.collected?.id === id) {
      const day = formatLocalDay(known.claimedMs, context.clock);
      const summary = `This was taken already, as ${known.id} of ${day}.`;
      const next = `Nothing, unless the unit wrote the same anew; then log it: ${byHand}.`;
      return { ...refusal(facts, 'taken-already', summary, next), entry: known.id };
    }
  }
  const last = inClaimedOrder(asCorrected(all))
    .map(knownEntry)
    .findLast(
      (known): known is OutcomeEntry => known?.kind === 'outcome' && known.body.outcome !== 'deferred',
    );
  const read = last?.body.versionRead;
  const sameRead =
    read !== undefined && version !== undefined && routes.compare(unit.product, read, version) === 0;
  if (last === undefined || outcome !== 'updated' || !sameRead || last.body.outcome === 'failed')
    return undefined;
  const summary = `It says what is known better: version ${printable(version ?? '', 60)} was read from the unit (${last.id}).`;
  return {
    ...refusal(facts, 'known-already', summary, 'Nothing: the record has it already.'),
    entry: last.id,
  };
}

/** Of the version that is in; undefined: the next on its path, as for everything that is logged. */
function releaseOf(
  { routes }: Desk,
  unit: UnitRecord,
  { outcome, version }: UnitResult,
): string | 'unknown' | undefined {
  if (outcome !== 'updated' || version === undefined) return undefined;
  const release = routes.releasesOf(unit.product, version)[0];
  return release === undefined ? 'unknown' : releaseKey(release);
}

/** Its own date is what the person says; without one nobody knows how old it is, and what was read stands. */
function versionOf(desk: Desk, unit: UnitRecord, { version }: UnitResult): VersionSeen[] {
  if (version === undefined) return [];
  return [{ serial: unit.serial, version, evidence: 'reported', dated: desk.atMs !== undefined }];
}
