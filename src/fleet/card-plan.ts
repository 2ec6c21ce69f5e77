// Which cards coming visits take: one firmware file a card, never two. Where a unit leaves a card as it is, one serves all
// units of a van; else each unit takes its own. The policy for spares: one more for each firmware file and van, and one
// that leads back where the maker has a release for that. Known cards that are ready are given out first.

import { releaseKey } from '../manifest/catalogue.ts';
import type { AfterUse } from '../manifest/product-schema.ts';
import type { Product, Release } from '../manifest/schema.ts';
import { admits, compareVersions } from '../manifest/versions.ts';
import { isAllowedOn, isWithdrawn } from './target.ts';

export interface NeededCard {
  /** Its name on record; null: one has to be prepared. */
  readonly card: string | null;
  readonly release: string;
  /** Serials, in the order of the list; of a spare, all that it may have to serve. */
  readonly units: readonly string[];
  readonly for: 'visit' | 'spare' | 'way-back';
}

export interface PlannedUnit {
  readonly serial: string;
  readonly product: string;
  readonly hardware: string | null;
  /** What is to be installed, in order. */
  readonly path: readonly Release[];
}

export interface CardPlanRequest {
  readonly units: readonly PlannedUnit[];
  readonly products: ReadonlyMap<string, Product>;
  readonly releases: readonly Release[];
  /** Names of the known cards that are ready, by `product@version`; those to be used first come first. */
  readonly ready: ReadonlyMap<string, readonly string[]>;
  readonly vans: number;
  /** A local day. */
  readonly day: string;
}

/** What a unit that has `release` may be given to go back: the highest release below it that admits it. */
export function wayBackOf(
  release: Release,
  hardware: string | null,
  { products, releases, day }: Pick<CardPlanRequest, 'products' | 'releases' | 'day'>,
): Release | undefined {
  const scheme = products.get(release.product)?.versions;
  if (scheme === undefined) return undefined;
  return releases
    .filter(
      (one) =>
        one.product === release.product &&
        !isWithdrawn(one, day) &&
        one.issued <= day &&
        (hardware === null || isAllowedOn(one, hardware)) &&
        compareVersions(scheme, one.version, release.version) < 0 &&
        // A release from any version says nothing of going back.
        one.from.kind !== 'any' &&
        admits(scheme, one.from, release.version),
    )
    .sort((a, b) => compareVersions(scheme, b.version, a.version))[0];
}

interface Need {
  readonly afterUse: AfterUse;
  readonly units: string[];
}

export function neededCards(request: CardPlanRequest): NeededCard[] {
  const { units, products, vans } = request;
  const needs = new Map<string, Need>();
  const back = new Map<string, string[]>();
  for (const { serial, product, hardware, path } of units) {
    for (const release of path) {
      const key = releaseKey(release);
      const afterUse = products.get(product)?.card.afterUse ?? 'unchanged';
      const need = needs.get(key) ?? { afterUse, units: [] };
      need.units.push(serial);
      needs.set(key, need);
    }
    const last = path.at(-1);
    const way = last === undefined ? undefined : wayBackOf(last, hardware, request);
    if (way !== undefined) back.set(releaseKey(way), [...(back.get(releaseKey(way)) ?? []), serial]);
  }
  const left = new Map([...request.ready].map(([key, names]) => [key, [...names]]));
  const card = (release: string, serials: readonly string[], use: NeededCard['for']): NeededCard => ({
    card: left.get(release)?.shift() ?? null,
    release,
    units: serials,
    for: use,
  });
  const times = (count: number) => Array.from({ length: count });
  const cards: NeededCard[] = [];
  for (const [key, { afterUse, units: serials }] of needs) {
    if (afterUse === 'unchanged')
      for (const _ of times(Math.min(vans, serials.length))) cards.push(card(key, serials, 'visit'));
    else for (const serial of serials) cards.push(card(key, [serial], 'visit'));
  }
  for (const [key, { units: serials }] of needs)
    for (const _ of times(vans)) cards.push(card(key, serials, 'spare'));
  for (const [key, serials] of back) for (const _ of times(vans)) cards.push(card(key, serials, 'way-back'));
  return cards;
}
