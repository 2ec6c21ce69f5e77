// What was done for the site on this phone, where the manifest marks steps `oncePerSite`: worked out from the walks at
// the other rows. Nothing else is known to a phone; how everything stands is asked at each unit before it begins.

import { openerOf } from '../../../procedure/open-site.ts';
import { endsTheSite, hasSharedSteps } from '../../../procedure/site-turn.ts';
import type { PocketData } from '../pocket-data.ts';
import type { WalkNow } from '../unit-walk.ts';

export interface OtherWalk {
  readonly serial: string;
  readonly now: WalkNow | undefined;
  /** The end of the procedure that it has come to. */
  readonly end: string | undefined;
  /** Its result was made: nothing more is to be done there today. */
  readonly isMade: boolean;
}

export interface SiteToday {
  readonly isShared: boolean;
  /** The unit with which what comes before the first one was done; null: not yet. */
  readonly openedWith: string | null;
  /** The unit at which an end was reached after which no other one is begun. */
  readonly endedWith: string | null;
  /** Every other row is done with. */
  readonly isLast: boolean;
}

export function siteToday({ product, view }: PocketData, others: readonly OtherWalk[]): SiteToday {
  const steps = others
    .flatMap(({ serial, now }) => (now?.done ?? []).map((done) => ({ serial, ...done })))
    .filter(({ part }) => part === 'procedure')
    .sort((a, b) => a.atMs - b.atMs);
  const finals = product.procedure.filter((step) => endsTheSite(product, step)).map(({ id }) => id);
  const ended = others.find(({ end }) => end !== undefined && finals.includes(end));
  return {
    isShared: hasSharedSteps(product),
    openedWith: openerOf(product, steps)?.serial ?? null,
    endedWith: ended?.serial ?? null,
    isLast: others.filter(({ isMade }) => isMade).length >= view.units.length - 1,
  };
}
