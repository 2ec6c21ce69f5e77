// The one order in which entries are added up: by claimed time; of equal ones the later written counts later,
// then by laptop, then by place in the chain. The same on every laptop, whatever came in first.

import type { Entry } from '../ports/record-store.ts';

type Ordered = Pick<Entry, 'claimedMs' | 'writtenMs' | 'laptop' | 'seq'>;

/** Negative: `a` counts before `b`. */
export function compareEntries(a: Ordered, b: Ordered): number {
  return (
    a.claimedMs - b.claimedMs ||
    a.writtenMs - b.writtenMs ||
    (a.laptop < b.laptop ? -1 : a.laptop > b.laptop ? 1 : 0) ||
    a.seq - b.seq
  );
}

export function inClaimedOrder<E extends Ordered>(entries: readonly E[]): E[] {
  return [...entries].sort(compareEntries);
}
