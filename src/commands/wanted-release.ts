// Which release a card is for, as `--for` says it: PRODUCT@VERSION, PRODUCT for its newest, or a SERIAL for the
// next release on that unit's path. A product's name wins over a serial that is spelled the same.

import type { Catalogue } from '../manifest/catalogue.ts';
import { requireRelease } from '../manifest/catalogue.ts';
import type { Product, Release } from '../manifest/schema.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';

export interface WantedRelease {
  readonly release: Release;
  readonly product: Product;
  /** Where a serial was given. */
  readonly serial?: string;
}

export async function requireWantedRelease(context: Context, text: string): Promise<WantedRelease> {
  const catalogue = await context.catalogue();
  const productOf = (release: Release): Product => catalogue.products.get(release.product) as Product;
  const asProduct = catalogue.products.has(text) || catalogue.products.has(text.toLowerCase());
  if (text.includes('@') || asProduct) {
    const release = requireRelease(catalogue, text);
    return { release, product: productOf(release) };
  }
  const unit = await registeredUnit(context, catalogue, text);
  const release = await nextRelease(context, catalogue, unit, '--for');
  return { release, product: productOf(release), serial: unit.serial };
}

async function registeredUnit(context: Context, catalogue: Catalogue, text: string): Promise<UnitRecord> {
  const { requireRegisteredUnit } = await import('./registered-unit.ts');
  try {
    return await requireRegisteredUnit(context, text);
  } catch (error) {
    // Written like a product's name, so a mistyped product is the better guess; its failure names near ones.
    const likeProduct = /^[a-z][a-z0-9-]*$/.test(text);
    if (error instanceof Failure && error.facts.code === 'unit-unknown' && likeProduct)
      requireRelease(catalogue, text);
    throw error;
  }
}

/** The next one on the unit's path; the Failures name `option`, with which a release can be given instead. */
export async function nextRelease(
  context: Context,
  catalogue: Catalogue,
  unit: UnitRecord,
  option: string,
): Promise<Release> {
  const [{ routesOn }, { standingOf }] = await Promise.all([
    import('../fleet/routes.ts'),
    import('../fleet/status.ts'),
  ]);
  const day = formatLocalDay(context.clock.now(), context.clock);
  const standing = standingOf(unit, routesOn(catalogue, day));
  const next = standing.path[0];
  if (next !== undefined) return next;
  const serial = printable(unit.serial, 80);
  const seen = unit.version === null ? undefined : printable(unit.version.version, 80);
  const facts = { where: serial, ...(seen === undefined ? {} : { seen }) };
  if (unit.version === null) {
    throw new Failure({
      code: 'version-not-known',
      exit: 2,
      summary: `The version on ${serial} is not known, so neither is its next release.`,
      ...facts,
      next: `Read it from the unit and log it, or give the release itself: ${option} PRODUCT@VERSION`,
    });
  }
  if (standing.status === 'no-path') {
    throw new Failure({
      code: 'no-path',
      exit: 2,
      summary: `No release may follow the version on ${serial}.`,
      ...facts,
      next: `Ask the maker; or give the release itself: ${option} PRODUCT@VERSION`,
    });
  }
  throw new Failure({
    code: 'nothing-to-install',
    exit: 2,
    summary: `${serial} needs no release.`,
    ...facts,
    next: `To carry one there all the same, give the release itself: ${option} PRODUCT@VERSION`,
  });
}
