// All manifests of a workspace that are sound, by product and release, the findings of those that are not, and
// the look-ups by which commands name them. It is made in build-catalogue.ts; here it is only asked.

import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';
import type { Product, Release } from './schema.ts';
import { sameVersion } from './versions.ts';
import type { Unread } from './withdrawals.ts';

export interface Catalogue {
  readonly products: ReadonlyMap<string, Product>;
  /** Of all products, withdrawn ones included, in order of product and sequence. */
  readonly releases: readonly Release[];
  /** Where each manifest was read from: absolute path by `product` id or `product@version`. */
  readonly sources: ReadonlyMap<string, string>;
  readonly findings: readonly Finding[];
  /** What stands in a manifest that is not used, since it is not sound: path by the same keys. */
  readonly refused?: ReadonlyMap<string, string>;
  /** Where trust in signatures is on and did not let every manifest in. */
  readonly untrusted?: Untrusted;
  /** Where the record is there and cannot be read: any release may be withdrawn in it. */
  readonly withdrawalsUnread?: Unread;
}

export interface Untrusted {
  /** `unsigned` or `signature-bad`, one a manifest; `where` is its path. What stands in it was not read. */
  readonly findings: readonly Finding[];
  /** Releases that one of these may mean to withdraw: its path by `product@version`. */
  readonly doubted: ReadonlyMap<string, string>;
  /** Products of which one of these seems to be a release, perhaps a newer one: its path by product. */
  readonly named: ReadonlyMap<string, string>;
}

/** `rill-40@4.2.0`: how a release is named wherever text is kept. */
export function releaseKey(release: Pick<Release, 'product' | 'version'>): string {
  return `${release.product}@${release.version}`;
}

export function requireProduct(catalogue: Catalogue, id: string): Product {
  const product = catalogue.products.get(id) ?? catalogue.products.get(id.toLowerCase());
  if (product !== undefined) return product;
  throw unknown(catalogue, 'product', id, [...catalogue.products.keys()]);
}

/** The product's releases by sequence, lowest first, withdrawn ones included. */
export function releasesOf(catalogue: Catalogue, productId: string): Release[] {
  return catalogue.releases
    .filter((release) => release.product === productId)
    .sort((a, b) => a.sequence - b.sequence);
}

/** The release with the highest sequence that is not withdrawn; undefined where there is none. */
export function newestRelease(catalogue: Catalogue, productId: string): Release | undefined {
  return releasesOf(catalogue, productId).findLast((release) => release.withdrawn === undefined);
}

/** By PRODUCT@VERSION; undefined where the catalogue has none. `4.2` finds `4.2.0`. */
export function findRelease(catalogue: Catalogue, productId: string, version: string): Release | undefined {
  const releases = releasesOf(catalogue, productId);
  const scheme = catalogue.products.get(productId)?.versions;
  return (
    releases.find((release) => release.version === version) ??
    (scheme && releases.find((release) => sameVersion(scheme, release.version, version)))
  );
}

/** RELEASE as a person writes it: PRODUCT@VERSION, or PRODUCT for its newest that is not withdrawn. */
export function requireRelease(catalogue: Catalogue, text: string): Release {
  const at = text.indexOf('@');
  if (at < 0) {
    const product = requireProduct(catalogue, text);
    const newest = newestRelease(catalogue, product.id);
    if (newest !== undefined) return requireSureNewest(catalogue, newest);
    const count = releasesOf(catalogue, product.id).length;
    const untrusted = count === 0 ? untrustedFor(catalogue, text, false) : undefined;
    if (untrusted !== undefined) throw untrusted;
    throw new Failure({
      code: 'no-release',
      exit: 2,
      summary:
        count === 0
          ? `No release of ${product.id} is known.`
          : `Every release of ${product.id} that is known is withdrawn.`,
      where: product.id,
      next: 'Take in a manifest of its newest release.',
    });
  }
  const product = requireProduct(catalogue, text.slice(0, at));
  const version = text.slice(at + 1);
  const release = findRelease(catalogue, product.id, version);
  if (release !== undefined) return release;
  throw unknown(catalogue, 'release', `${product.id}@${version}`, newestFirst(catalogue, product.id));
}

/** What may be carried: those that are not withdrawn. */
function newestFirst(catalogue: Catalogue, productId: string): string[] {
  return releasesOf(catalogue, productId)
    .filter(({ withdrawn }) => withdrawn === undefined)
    .sort((a, b) => b.sequence - a.sequence)
    .map(releaseKey);
}

/** `known`: of releases the newest first. */
function unknown(
  catalogue: Catalogue,
  kind: 'product' | 'release',
  wanted: string,
  known: readonly string[],
): Failure {
  const refusedIn = catalogue.refused?.get(wanted);
  if (refusedIn !== undefined) {
    return new Failure({
      code: 'manifest-unsound',
      exit: 2,
      summary: `The manifest of ${printable(wanted, 80)} is not sound, so it is not used.`,
      where: refusedIn,
      next: `Run: slotproof manifests check`,
    });
  }
  const near = nearNames(wanted, known);
  const untrusted = untrustedFor(catalogue, wanted, near.length > 0);
  if (untrusted !== undefined) return untrusted;
  const inOrder = kind === 'release' ? known.filter((name) => near.includes(name)) : near;
  const [newest = ''] = known;
  const isNewer = kind === 'release' && known.length > 0 && !near.includes(newest);
  const hints = [
    ...(near.length > 0 ? [`Did you mean ${inOrder.join(' or ')}?`] : []),
    ...(isNewer ? [`The newest one is ${printable(newest, 80)}.`] : []),
  ];
  const next =
    hints.length > 0
      ? hints.join(' ')
      : `${known.length > 0 ? 'Take one of these, or put' : 'Put'} its manifest into the workspace first, then run: slotproof manifests check`;
  return new Failure({
    code: `unknown-${kind}`,
    exit: 2,
    summary: `No ${kind} ${printable(wanted, 80)} is known here.`,
    seen: printable(wanted, 80),
    ...(known.length > 0 && { expected: `one of: ${printable(known.slice(0, 20).join(', '), 400)}` }),
    next,
  });
}

/** A newer one may stand in a manifest that was not let in: then the person names the release. */
function requireSureNewest({ untrusted }: Catalogue, newest: Release): Release {
  const where = untrusted?.named.get(newest.product);
  if (where === undefined) return newest;
  throw new Failure({
    code: untrusted?.findings.find((finding) => finding.where === where)?.code ?? 'unsigned',
    exit: 2,
    summary: `Which release of ${newest.product} is the newest is not sure: a manifest of another one is not trusted.`,
    expected: `a signature by somebody trusted, or a release by its version: ${releaseKey(newest)}`,
    where,
    next: `Ask the service lead. If it is meant, name it: ${releaseKey(newest)}`,
  });
}

/** What is not known may stand in a manifest that was not let in; its file's name is all that may be asked. */
function untrustedFor({ untrusted }: Catalogue, wanted: string, hasNear: boolean): Failure | undefined {
  if (untrusted === undefined) return undefined;
  const { findings } = untrusted;
  const product = wanted.replace(/@.*$/, '').toLowerCase();
  const named = findings.filter(({ where = '' }) =>
    /[^\\/]*$/.exec(where)?.[0].toLowerCase().includes(product),
  );
  if (named.length === 0 && hasNear) return undefined;
  const meant = named.length > 0 ? named : findings;
  const first = meant.find(({ code }) => code === 'signature-bad') ?? meant[0];
  if (first === undefined) return undefined;
  return new Failure({
    code: first.code,
    exit: 2,
    summary: `No manifest that can be trusted knows ${printable(wanted, 80)}. ${first.summary}`,
    ...(first.seen !== undefined && { seen: first.seen }),
    ...(first.expected !== undefined && { expected: first.expected }),
    ...(first.where !== undefined && { where: first.where }),
    next: first.next,
  });
}
