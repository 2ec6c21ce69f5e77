// Makes a catalogue from the texts of manifests. Each text is judged by itself, then against the others; what
// is not sound is told and left out, and never takes a sound one with it. Reads no files.

import type { Finding } from '../words/finding.ts';
import { hasStop } from '../words/finding.ts';
import { type Catalogue, releaseKey } from './catalogue.ts';
import { decodeManifest, type ManifestFile } from './decode-manifest.ts';
import { type Fault, unknownName } from './fault.ts';
import { lintProduct } from './lint-product.ts';
import { lintRelease } from './lint-release.ts';
import type { ManifestText } from './manifest-text.ts';
import type { Product, Release } from './schema.ts';
import { sameVersion } from './versions.ts';

/** A further judgement over a product that is sound by structure, such as the check for gaps. */
export type ProductCheck = (product: Product) => readonly PlacedFinding[];

export interface PlacedFinding extends Finding {
  /** Keys from the top of the manifest to what is at fault. */
  readonly keys?: readonly (string | number)[];
}

interface Held<T> {
  readonly file: ManifestFile;
  readonly value: T;
}

export function buildCatalogue(texts: readonly ManifestText[], furtherCheck?: ProductCheck): Catalogue {
  const findings: Finding[] = [];
  const refused = new Map<string, string>();
  const products: Held<Product>[] = [];
  const releases: Held<Release>[] = [];

  // By path, so that the same folder always gives the same catalogue.
  for (const { path, content } of [...texts].sort((a, b) =>
    a.path < b.path ? -1 : a.path > b.path ? 1 : 0,
  )) {
    const file = decodeManifest(path, content);
    findings.push(...file.findings);
    if (file.decoded.kind === 'product') products.push({ file, value: file.decoded.product });
    else if (file.decoded.kind === 'release') releases.push({ file, value: file.decoded.release });
    else if (file.id !== undefined) refused.set(file.id, path);
  }

  const builder = new Builder(findings, refused);
  const soundProducts = builder.products(products, furtherCheck);
  const soundReleases = builder.releases(releases, soundProducts);
  const sources = new Map<string, string>();
  for (const { file, value } of soundProducts.values()) sources.set(value.id, file.path);
  for (const { file, value } of soundReleases) sources.set(releaseKey(value), file.path);
  for (const key of sources.keys()) refused.delete(key);
  return {
    products: new Map([...soundProducts].map(([id, held]) => [id, held.value])),
    releases: soundReleases.map((held) => held.value),
    sources,
    findings,
    refused,
  };
}

class Builder {
  private readonly findings: Finding[];
  private readonly refused: Map<string, string>;

  constructor(findings: Finding[], refused: Map<string, string>) {
    this.findings = findings;
    this.refused = refused;
  }

  private tell(file: ManifestFile, faults: readonly Fault[]): boolean {
    const told = faults.map(file.finding);
    this.findings.push(...told);
    return !hasStop(told);
  }

  products(
    all: readonly Held<Product>[],
    furtherCheck: ProductCheck | undefined,
  ): Map<string, Held<Product>> {
    const sound = new Map<string, Held<Product>>();
    const first = new Map<string, Held<Product>>();
    for (const held of all) {
      const { file, value } = held;
      const earlier = first.get(value.id);
      if (earlier !== undefined) {
        const alike = this.tell(file, [definedTwice(['id'], `product ${value.id}`, earlier, held)]);
        // Which of two unlike ones is right is not for the tool to say.
        if (!alike && sound.delete(value.id)) this.refused.set(value.id, earlier.file.path);
        continue;
      }
      first.set(value.id, held);
      const usable = this.tell(file, lintProduct(value)) && this.further(held, furtherCheck);
      if (usable) sound.set(value.id, held);
      else this.refused.set(value.id, file.path);
    }
    return new Map([...sound].sort(([a], [b]) => (a < b ? -1 : 1)));
  }

  private further({ file, value }: Held<Product>, check: ProductCheck | undefined): boolean {
    const told = (check?.(value) ?? []).map(({ keys, ...finding }) =>
      file.finding({ ...finding, path: keys ?? ['procedure'] }),
    );
    this.findings.push(...told);
    return !hasStop(told);
  }

  releases(all: readonly Held<Release>[], products: ReadonlyMap<string, Held<Product>>): Held<Release>[] {
    const kept: Held<Release>[] = [];
    const disputed: Held<Release>[] = [];
    for (const held of [...all].sort(withdrawnFirst)) {
      const { file, value } = held;
      const product = products.get(value.product)?.value;
      const isSound =
        product === undefined
          ? this.tell(file, [this.withoutProduct(value, [...products.keys()])])
          : this.tell(file, lintRelease(value, product));
      if (!isSound || product === undefined) {
        this.refused.set(releaseKey(value), file.path);
        continue;
      }
      const isSame = (other: Held<Release>) => isSameRelease(other, held, product);
      const agrees = this.tell(file, this.againstOthers(held, [...kept, ...disputed], product));
      if (agrees && !kept.some(isSame) && !disputed.some(isSame)) kept.push(held);
      if (agrees) continue;
      this.refused.set(releaseKey(value), file.path);
      // Of two unlike ones neither is used, but for one that withdraws the release: that may only stop.
      const rival = kept.find(isSame);
      if (rival === undefined || rival.value.withdrawn !== undefined) continue;
      kept.splice(kept.indexOf(rival), 1);
      disputed.push(rival);
      this.refused.set(releaseKey(rival.value), rival.file.path);
    }
    kept.sort((a, b) => compareText(a.value.product, b.value.product) || a.value.sequence - b.value.sequence);
    this.orderOfIssue(kept);
    return kept;
  }

  private withoutProduct(release: Release, known: readonly string[]): Fault {
    const unsound = this.refused.get(release.product);
    if (unsound === undefined) return unknownName(['product'], 'product', release.product, known);
    return {
      code: 'product-unsound',
      severity: 'stop',
      path: ['product'],
      summary: `The manifest of ${release.product} is not sound, so its releases are not used either.`,
      seen: unsound,
      next: 'Correct the manifest of the product first.',
    };
  }

  private againstOthers(held: Held<Release>, others: readonly Held<Release>[], product: Product): Fault[] {
    const { value } = held;
    const siblings = others.filter((other) => other.value.product === value.product);
    const same = siblings.find((other) => isSameRelease(other, held, product));
    if (same !== undefined) return [definedTwice(['version'], `release ${releaseKey(value)}`, same, held)];
    const level = siblings.find((other) => other.value.sequence === value.sequence);
    if (level === undefined) return [];
    return [
      {
        code: 'sequence-twice',
        severity: 'stop',
        path: ['sequence'],
        summary: `Two releases of ${value.product} have the same sequence, so which one is newer is not known.`,
        seen: `${value.sequence}, also in ${releaseKey(level.value)} (${level.file.path})`,
        expected: 'a sequence that rises with each release',
        next: 'Correct the sequence in one of them. Until then this one is not used.',
      },
    ];
  }

  /** A later sequence with an earlier date is allowed, but is more often a slip. */
  private orderOfIssue(kept: readonly Held<Release>[]): void {
    for (let i = 1; i < kept.length; i++) {
      const [before, after] = [kept[i - 1]!, kept[i]!];
      if (before.value.product !== after.value.product || before.value.issued <= after.value.issued) continue;
      this.tell(after.file, [
        {
          code: 'sequence-order',
          severity: 'warn',
          path: ['sequence'],
          summary: `${releaseKey(after.value)} has the higher sequence, but was issued before ${releaseKey(before.value)}.`,
          seen: `issued ${after.value.issued}, sequence ${after.value.sequence}`,
          expected: `issued ${before.value.issued} or later`,
          next: 'Check the sequence and the date of both.',
        },
      ]);
    }
  }
}

/** Of two manifests of one release, the one that withdraws it is used: a stop must not be lost to a stray copy. */
function withdrawnFirst(a: Held<Release>, b: Held<Release>): number {
  const rank = (held: Held<Release>) => (held.value.withdrawn === undefined ? 1 : 0);
  return rank(a) - rank(b) || compareText(a.file.path, b.file.path);
}

function isSameRelease(a: Held<Release>, b: Held<Release>, product: Product): boolean {
  return (
    a.value.product === b.value.product && sameVersion(product.versions, a.value.version, b.value.version)
  );
}

function isAlike(a: Held<unknown>, b: Held<unknown>): boolean {
  return JSON.stringify(a.value) === JSON.stringify(b.value);
}

function compareText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

function definedTwice(path: Fault['path'], what: string, used: Held<unknown>, second: Held<unknown>): Fault {
  const same = isAlike(used, second);
  const isStopped = (used.value as Partial<Release>).withdrawn !== undefined;
  return {
    code: 'defined-twice',
    severity: same ? 'warn' : 'stop',
    path,
    summary: same ? `The ${what} is defined twice, alike.` : `The ${what} is defined twice, and not alike.`,
    seen: `also in ${used.file.path}`,
    expected: 'one manifest for each',
    next: same
      ? 'Remove one of the two files.'
      : `Remove the wrong one. Until then ${isStopped ? `${used.file.path}, which withdraws it, is used` : 'neither is used'}.`,
  };
}
