// All manifests as they stand on one day, asked by unit: its target, its path, what a version belongs to. Each
// answer is worked out once for a product, hardware revision and version, so thousands of units cost little.
// Decides nothing about a unit: see status.ts.

import type { Catalogue } from '../manifest/catalogue.ts';
import type { Product, Release } from '../manifest/schema.ts';
import { compareVersions, sameVersion } from '../manifest/versions.ts';
import { byFallingSequence, isAllowedOn, isWithdrawn, offeredReleases } from './target.ts';
import { type PathsToTarget, pathsTo } from './update-path.ts';

/** What a unit's route depends on. */
export interface RouteQuestion {
  readonly product: string;
  /** null: not known. */
  readonly hardware: string | null;
}

export interface Routes {
  /** The local day whose end counts. */
  readonly day: string;
  product(id: string): Product | undefined;
  /** undefined where no release applies. */
  target(unit: RouteQuestion): Release | undefined;
  /** From `version` to the target, the target last; empty where it is the target's own; undefined: no path. */
  path(unit: RouteQuestion, version: string): readonly Release[] | undefined;
  /** The releases of the product that have this version; one, in sound manifests. */
  releasesOf(product: string, version: string): readonly Release[];
  /** As the product's scheme says; of a product that is not known, as plain text. */
  compare(product: string, a: string, b: string): number;
}

/** `chosen`: the release to measure its product's units against, in place of their own targets (`--target`). */
export function routesOn(catalogue: Catalogue, day: string, chosen?: Release): Routes {
  const byProduct = new Map<string, Release[]>();
  for (const release of [...catalogue.releases].sort(byFallingSequence)) {
    const known = byProduct.get(release.product);
    if (known === undefined) byProduct.set(release.product, [release]);
    else known.push(release);
  }

  const plans = new Map<string, Plan>();
  const planOf = ({ product, hardware }: RouteQuestion): Plan => {
    const key = JSON.stringify([product, hardware]);
    let plan = plans.get(key);
    if (plan === undefined) {
      const manifest = catalogue.products.get(product);
      plan =
        manifest === undefined ? {} : planFor(manifest, byProduct.get(product) ?? [], hardware, day, chosen);
      plans.set(key, plan);
    }
    return plan;
  };

  const scheme = (product: string) => catalogue.products.get(product)?.versions;
  const memberships = new Map<string, readonly Release[]>();
  const paths = new Map<Plan, Map<string, readonly Release[] | undefined>>();

  return {
    day,
    product: (id) => catalogue.products.get(id),
    target: (unit) => planOf(unit).target,
    path(unit, version) {
      const plan = planOf(unit);
      const known = paths.get(plan) ?? new Map<string, readonly Release[] | undefined>();
      paths.set(plan, known);
      if (!known.has(version)) known.set(version, findPath(plan, scheme(unit.product), version));
      return known.get(version);
    },
    releasesOf(product, version) {
      const key = JSON.stringify([product, version]);
      let releases = memberships.get(key);
      if (releases === undefined) {
        const kind = scheme(product);
        releases = (byProduct.get(product) ?? []).filter((release) =>
          kind === undefined ? release.version === version : sameVersion(kind, release.version, version),
        );
        memberships.set(key, releases);
      }
      return releases;
    },
    compare(product, a, b) {
      const kind = scheme(product);
      if (kind !== undefined) return compareVersions(kind, a, b);
      return a === b ? 0 : a < b ? -1 : 1;
    },
  };
}

interface Plan {
  readonly target?: Release;
  readonly paths?: PathsToTarget;
}

/**
 * Where a unit's revision is not known, the target is the highest that any revision may have, and only releases
 * for every revision may be installed: so nothing is called current, or offered, that its own might not be.
 */
function planFor(
  product: Product,
  releases: readonly Release[],
  hardware: string | null,
  day: string,
  chosen: Release | undefined,
): Plan {
  const revisions = hardware === null ? product.hardware : [hardware];
  const offered = offeredReleases(releases, revisions, day);
  const target =
    chosen?.product === product.id
      ? chosenFor(chosen, revisions, day)
      : offeredReleases(releases, revisions, day, 'any')[0];
  if (target === undefined) return {};
  return offered.includes(target)
    ? { target, paths: pathsTo(target, offered, product.versions) }
    : { target };
}

function chosenFor(chosen: Release, revisions: readonly string[], day: string): Release | undefined {
  const allowed = revisions.some((revision) => isAllowedOn(chosen, revision));
  return allowed && !isWithdrawn(chosen, day) ? chosen : undefined;
}

function findPath(
  { target, paths }: Plan,
  scheme: Product['versions'] | undefined,
  version: string,
): readonly Release[] | undefined {
  if (target === undefined || scheme === undefined) return undefined;
  if (sameVersion(scheme, target.version, version)) return [];
  return paths?.from(version);
}
