// What may be done with a card that the record knows, by what the manifests say of its release and of what a unit does
// to a card. Goes by the record alone: it never says of a card that it reads right today; `check` does.

import type { AfterUse } from '../manifest/product-schema.ts';
import { type KnownCard, saysOf } from '../record/known-cards.ts';

export type CardStanding =
  /** As far as the record knows, it may go to the next unit. */
  | 'ready'
  /** It was in a unit that renames or takes the firmware file away. */
  | 'prepare-again'
  /** It was in a unit that leaves a file on it. */
  | 'collect-first'
  | 'not-ready'
  | 'withdrawn'
  /** No sound manifest here knows its release. */
  | 'release-unknown'
  | 'retired';

/** Of the card's release, as the manifests have it now; undefined where none knows it. */
export interface CardRelease {
  readonly withdrawn: boolean;
  readonly afterUse: AfterUse;
}

export function cardStanding(card: KnownCard, release: CardRelease | undefined): CardStanding {
  const { prepared, checked, uses, retired } = card;
  if (retired !== null) return 'retired';
  if (release === undefined) return 'release-unknown';
  if (release.withdrawn) return 'withdrawn';
  const lastUse = uses.at(-1);
  const looked = checked === null ? undefined : saysOf(checked, prepared.release);
  // A look after the last use counts for more than what units of this product do as a rule.
  if (looked !== undefined && (lastUse === undefined || (checked?.atMs ?? 0) >= lastUse.atMs))
    return looked ? 'ready' : 'not-ready';
  if (lastUse === undefined) return prepared.verdict;
  switch (release.afterUse) {
    case 'unchanged':
      return looked === false ? 'not-ready' : prepared.verdict;
    case 'writes':
      return 'collect-first';
    default:
      return 'prepare-again';
  }
}
