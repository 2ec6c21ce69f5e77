// Where a unit stood, from when to when, as its entries say: registered somewhere, moved, or put right in the register.
// Corrections come first, as in `fold-unit.ts`, which says where it stands now and does not keep the way there.

import type { Entry } from '../ports/record-store.ts';
import { asCorrected } from './as-corrected.ts';
import { knownEntry } from './entry.ts';
import { inClaimedOrder } from './entry-order.ts';

/** A register that was put right may be a move that nobody called one: it is told as what it is. */
export type StayBegun = 'registered' | 'moved' | 'put-right';

export interface Stay {
  /** null: not known. */
  readonly site: string | null;
  /** Milliseconds UTC, as claimed by the entry that says so. */
  readonly sinceMs: number;
  readonly begun: StayBegun;
  /** null: it stands there still. */
  readonly untilMs: number | null;
  readonly ended: StayBegun | 'retired' | null;
  /** Of the entry that began it. */
  readonly entryId: string;
}

const begins = { 'unit-added': 'registered', 'unit-moved': 'moved', 'unit-changed': 'put-right' } as const;

/** Of all entries of one unit: oldest first; empty where none of them says a site. */
export function unitStays(entries: readonly Entry[]): Stay[] {
  const stays: Stay[] = [];
  const end = (untilMs: number, ended: Stay['ended']) => {
    const open = stays.at(-1);
    if (open?.untilMs === null) stays[stays.length - 1] = { ...open, untilMs, ended };
  };
  for (const entry of inClaimedOrder(asCorrected(entries))) {
    const known = knownEntry(entry);
    const { claimedMs } = entry;
    if (known?.kind === 'unit-retired') end(claimedMs, 'retired');
    if (known?.kind !== 'unit-added' && known?.kind !== 'unit-moved' && known?.kind !== 'unit-changed')
      continue;
    const { site } = known.body;
    const last = stays.at(-1);
    // A retired unit begins a stay only when it is registered again; what is said of it meanwhile is put right.
    const isOpen = last !== undefined && last.untilMs === null;
    if (site === undefined || (isOpen && last.site === site)) continue;
    end(claimedMs, begins[known.kind]);
    const stay: Stay = {
      site,
      sinceMs: claimedMs,
      begun: begins[known.kind],
      untilMs: null,
      ended: null,
      entryId: entry.id,
    };
    if (known.kind === 'unit-added' || last === undefined || isOpen) stays.push(stay);
    else if (last.site !== site) stays.push({ ...stay, untilMs: claimedMs, ended: 'retired' });
  }
  return stays;
}
