// What an audit is about: one product, one site, another target than each unit's own. A name that fits nothing
// is refused, since an audit of nothing would read like good news.

import { isIssued, isWithdrawn } from '../fleet/target.ts';
import { siteKey } from '../fleet/visit-list.ts';
import type { Catalogue } from '../manifest/catalogue.ts';
import { releaseKey, requireProduct, requireRelease } from '../manifest/catalogue.ts';
import type { Release } from '../manifest/schema.ts';
import type { UnitState } from '../record/unit-state.ts';
import { Failure } from '../words/failure.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';
import type { OptionValues } from './command.ts';

export interface AuditScope {
  readonly product?: string;
  /** As the register writes it. */
  readonly site?: string;
  readonly target?: Release;
  /** The same for people. */
  readonly words: readonly string[];
}

export function requireAuditScope(
  catalogue: Catalogue,
  units: readonly UnitState[],
  options: OptionValues,
  day: string,
): AuditScope {
  const product =
    typeof options.product === 'string' ? productMeant(catalogue, units, options.product) : undefined;
  const site = typeof options.site === 'string' ? siteMeant(units, options.site) : undefined;
  const target =
    typeof options.target === 'string' ? targetMeant(catalogue, options.target, product, day) : undefined;
  return {
    ...(product === undefined ? {} : { product }),
    ...(site === undefined ? {} : { site }),
    ...(target === undefined ? {} : { target }),
    words: [product, site, target && `measured against ${releaseKey(target)}`].filter(
      (word) => word !== undefined,
    ),
  };
}

/** A product that units were registered with counts, though its manifest is gone or not sound. */
function productMeant(catalogue: Catalogue, units: readonly UnitState[], text: string): string {
  return units.some(({ product }) => product === text) ? text : requireProduct(catalogue, text).id;
}

function siteMeant(units: readonly UnitState[], text: string): string {
  const sites = new Set(units.filter(({ retired }) => !retired).flatMap(({ site }) => site ?? []));
  const meant = sites.has(text) ? text : [...sites].find((site) => siteKey(site) === siteKey(text));
  // Where nothing is registered at all, that is what the audit says.
  if (meant !== undefined || sites.size === 0) return meant ?? text;
  const near = nearNames(text, sites);
  throw new Failure({
    code: 'site-unknown',
    exit: 2,
    summary: 'No unit is registered at this site.',
    seen: printable(text, 80),
    where: '--site',
    next:
      near.length > 0
        ? `Did you mean ${near.map((site) => printable(site, 80)).join(' or ')}?`
        : 'slotproof sites list names the sites.',
  });
}

function targetMeant(catalogue: Catalogue, text: string, product: string | undefined, day: string): Release {
  const target = requireRelease(catalogue, text);
  const unfit = (code: string, summary: string, next: string) =>
    new Failure({ code, exit: 2, summary, seen: releaseKey(target), where: '--target', next });
  if (product !== undefined && target.product !== product)
    throw unfit(
      'other-product',
      `--target names a release of ${target.product}, --product ${product}.`,
      'Leave one of them out.',
    );
  if (isWithdrawn(target, day))
    throw unfit('withdrawn', 'This release is withdrawn: no unit should have it.', 'Leave --target out.');
  if (!isIssued(target, day))
    throw unfit(
      'not-issued-yet',
      `This release is issued only on ${target.issued}, after the day of the audit.`,
      'Leave --target out, or give a later day with --as-of.',
    );
  return target;
}
