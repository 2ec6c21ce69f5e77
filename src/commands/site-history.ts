// Units that stood at a site and do not any more, and where they are now. Looks at the entries by which a unit can leave a
// site, and then at all entries of those units; so a site of a large register does not take a walk through all of it.

import { siteKey } from '../fleet/visit-list.ts';
import type { Entry, RecordStore } from '../ports/record-store.ts';
import { type EntryKind, knownEntry } from '../record/entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { type Stay, unitStays } from '../record/unit-stays.ts';

export interface FormerUnit {
  readonly unit: UnitRecord;
  /** Its last at this site. */
  readonly stay: Stay;
}

type Store = Pick<RecordStore<UnitRecord>, 'entries' | 'unit'>;

/** Units that stand there in service are left out, though they may have been away. The one that left last comes first. */
export async function formerUnits(store: Store, site: string): Promise<FormerUnit[]> {
  const former: FormerUnit[] = [];
  for (const serial of await leavers(store)) {
    const unit = await store.unit(serial);
    if (unit === undefined || (!unit.retired && unit.site === site)) continue;
    const entries: Entry[] = [];
    for await (const entry of store.entries({ serial })) entries.push(entry);
    const stay = unitStays(entries).findLast((one) => isAt(one.site, site));
    if (stay !== undefined) former.push({ unit, stay });
  }
  return former.sort(
    (a, b) => (b.stay.untilMs ?? 0) - (a.stay.untilMs ?? 0) || (a.unit.serial < b.unit.serial ? -1 : 1),
  );
}

const isAt = (said: unknown, site: string) => typeof said === 'string' && siteKey(said) === siteKey(site);

/** Serials of units that may have left any site: moved, put right, retired, or one of these by a correction. */
async function leavers(store: Store): Promise<Set<string>> {
  const serials = new Set<string>();
  const kinds: readonly EntryKind[] = ['unit-moved', 'unit-changed', 'unit-retired', 'correction'];
  for (const kind of kinds) {
    for await (const entry of store.entries({ kind })) {
      const known = knownEntry(entry);
      if (known !== undefined && mayLeave(known)) serials.add(String(entry.body.serial));
    }
  }
  return serials;
}

function mayLeave(known: NonNullable<ReturnType<typeof knownEntry>>): boolean {
  switch (known.kind) {
    // What it says of where the unit stood before is only what one laptop knew.
    case 'unit-moved':
    case 'unit-retired':
      return true;
    case 'unit-changed':
      return known.body.site !== undefined;
    case 'correction':
      return known.body.serial !== undefined && known.body.kind.startsWith('unit-');
    default:
      return false;
  }
}
