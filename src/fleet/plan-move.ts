// What has to be written when a unit goes to another site: one entry, which also says what of the old site no longer holds
// of it and what of the new one does. Its role stays unless another is said: only who moved it knows.

import type { EntryDraft } from '../ports/record-store.ts';
import { draftEntry, type Signature } from '../record/entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { agreedOfSite, siteFields } from './site-details.ts';

export interface Move {
  readonly unit: UnitRecord;
  readonly to: string;
  readonly role?: string | undefined;
  readonly why?: string | undefined;
  /** Said of the new site by the person; goes before what its units say. */
  readonly said: Readonly<Record<string, string>>;
  /** Units in service at the new site. */
  readonly there: readonly UnitRecord[];
}

export function planMove({ unit, to, role, why, said, there }: Move, signature: Signature): EntryDraft {
  const details: Record<string, string | null> = {};
  for (const field of siteFields) {
    const text = said[field] ?? agreedOfSite(there, field) ?? null;
    if (text !== (unit.details[field] ?? null)) details[field] = text;
  }
  if (role !== undefined && role !== unit.details.role) details.role = role;
  return draftEntry('unit-moved', signature, {
    serial: unit.serial,
    site: to,
    from: unit.site,
    ...(Object.keys(details).length === 0 ? {} : { details }),
    ...(why === undefined ? {} : { why }),
  });
}
