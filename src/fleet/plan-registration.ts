// What has to be written so that the register says what a claim says: nothing, where it says so already. Decides
// only; empty fields of a claim say nothing and change nothing.

import type { EntryDraft } from '../ports/record-store.ts';
import { draftEntry, type Signature, type UnitChanged } from '../record/entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import type { VersionKnown } from '../record/unit-state.ts';
import { formatLocalTime } from '../words/local-time.ts';
import type { Registration } from './unit-claim.ts';

export interface RegistrationPlan {
  /** `added`: not registered before, or brought back after it was retired. */
  readonly kind: 'added' | 'changed' | 'unchanged';
  readonly drafts: readonly EntryDraft[];
}

export interface RegistrationSigner extends Signature {
  readonly zone: { offsetMinutes(atMs: number): number };
}

export function planRegistration(
  registration: Registration,
  unit: UnitRecord | undefined,
  signer: RegistrationSigner,
): RegistrationPlan {
  const { serial, product, hardware, site, details } = registration;
  const version = planVersion(registration, unit, signer);
  if (unit === undefined || unit.retired) {
    const known = unit === undefined ? {} : unit.details;
    // Names in the order in which they are written: nothing has to be sorted then.
    const body = { details: { ...known, ...details }, hardware, product, serial, site };
    return { kind: 'added', drafts: [draftEntry('unit-added', signer, body), ...version] };
  }
  const changes = changesTo(unit, registration);
  const changed = changes === undefined ? [] : [draftEntry('unit-changed', signer, changes)];
  const drafts = [...changed, ...version];
  return { kind: drafts.length === 0 ? 'unchanged' : 'changed', drafts };
}

function changesTo(unit: UnitRecord, registration: Registration): UnitChanged | undefined {
  const { serial, product, hardware, site } = registration;
  const details = Object.entries(registration.details).filter(([name, text]) => unit.details[name] !== text);
  const changes: UnitChanged = {
    serial,
    ...(product === unit.product ? {} : { product }),
    ...(hardware === unit.hardware ? {} : { hardware }),
    ...(site === unit.site ? {} : { site }),
    ...(details.length === 0 ? {} : { details: Object.fromEntries(details) }),
  };
  return Object.keys(changes).length === 1 ? undefined : changes;
}

/** A version that a table repeats is no news, whatever has been read from the unit since. */
function planVersion(
  { serial, version }: Registration,
  unit: UnitRecord | undefined,
  signer: RegistrationSigner,
): EntryDraft[] {
  if (version === null) return [];
  const said = version.dated ? unit?.reported.dated : unit?.reported.undated;
  if (said !== null && said !== undefined && repeats(version, said)) return [];
  // Read from the unit at that very time: a table that was made from the register says no more.
  const read = unit?.versionRead;
  if (read !== null && read !== undefined && version.dated && repeats(version, read)) return [];
  const { atMs, dated } = version;
  const signature = { ...signer, claimedAt: formatLocalTime(atMs, signer.zone) };
  return [
    draftEntry('version-seen', signature, { dated, evidence: 'reported', serial, version: version.version }),
  ];
}

function repeats(version: NonNullable<Registration['version']>, said: VersionKnown): boolean {
  return version.version === said.version && (!version.dated || version.atMs === said.atMs);
}
