// The catalogue of a workspace. Reading, checking and exploring manifests takes longer than all else that most
// commands do, so the last result is kept beside them, under the digest of every byte that it was made from:
// the same manifests and the same build of the tool give it back, anything else makes it anew.

import { sha256Hex } from '../bytes/sha256.ts';
import type { Files } from '../ports/files.ts';
import { Failure } from '../words/failure.ts';
import type { ProductCheck } from './build-catalogue.ts';
import { type Catalogue, releaseKey, type Untrusted } from './catalogue.ts';
import type { ManifestText } from './manifest-text.ts';
import { readManifests } from './read-manifests.ts';
import { isTrustOn } from './trust/is-trust-on.ts';
import type { ReadTrusted, TrustParts } from './trust/read-trusted.ts';

export interface CatalogueParts {
  readonly folder: string;
  /** Loaded only where manifests are read anew. */
  readonly furtherCheck: () => Promise<ProductCheck>;
  /** Where the last result is kept; undefined where the build is not known, and nothing is kept. */
  readonly kept: { readonly path: string; readonly build: string } | undefined;
  /** undefined: signatures are none of this catalogue's business. */
  readonly trust?: TrustParts;
}

const maxKeptBytes = 64 * 2 ** 20;

export async function loadCatalogue(files: Files, parts: CatalogueParts): Promise<Catalogue> {
  const all = readManifests(files, [parts.folder]);
  if (parts.trust === undefined || !isTrustOn(files, parts.trust.path)) return catalogueOf(files, all, parts);
  const { readTrusted } = await import('./trust/read-trusted.ts');
  // Signatures are judged each time: keys expire, and what is kept must not outlive them.
  const trusted = readTrusted(files, all, parts.trust);
  return withUntrusted(await catalogueOf(files, trusted.texts, parts), trusted);
}

/** `texts`: those that are to be used, trusted ones alone where that matters. */
async function catalogueOf(
  files: Files,
  texts: readonly ManifestText[],
  parts: CatalogueParts,
): Promise<Catalogue> {
  if (texts.length === 0) return { products: new Map(), releases: [], sources: new Map(), findings: [] };
  const { kept } = parts;
  const key = kept === undefined ? '' : keyOf(texts, kept.build);
  const known = kept === undefined ? undefined : recall(files, kept.path, key);
  if (known !== undefined) return known;
  const [{ buildCatalogue }, furtherCheck] = await Promise.all([
    import('./build-catalogue.ts'),
    parts.furtherCheck(),
  ]);
  const catalogue = buildCatalogue(texts, furtherCheck);
  if (kept !== undefined) keep(files, kept.path, key, catalogue);
  return catalogue;
}

function withUntrusted(catalogue: Catalogue, { trust, refused, doubts, names }: ReadTrusted): Catalogue {
  if (refused.length === 0 && trust.findings.length === 0) return catalogue;
  const doubted = new Map<string, string>();
  for (const { text } of refused)
    for (const release of doubts(text, catalogue.releases)) doubted.set(releaseKey(release), text.path);
  const named = new Map<string, string>();
  for (const { text } of refused)
    for (const product of names(text, catalogue.products.keys())) named.set(product, text.path);
  const untrusted: Untrusted = { findings: refused.map(({ finding }) => finding), doubted, named };
  return {
    ...catalogue,
    findings: [...catalogue.findings, ...trust.findings, ...untrusted.findings],
    ...(refused.length > 0 && { untrusted }),
  };
}

function keyOf(texts: readonly ManifestText[], build: string): string {
  const lines = texts.map(({ path, content }) => `${sha256Hex(content)} ${path}`).sort();
  return sha256Hex([build, ...lines].join('\n'));
}

/** A file that is absent, damaged or of other manifests is as good as none. */
function recall(files: Files, path: string, key: string): Catalogue | undefined {
  try {
    const { key: keptKey, catalogue, digest } = JSON.parse(files.readText(path, maxKeptBytes));
    if (keptKey !== key || sha256Hex(JSON.stringify(catalogue)) !== digest) return undefined;
    return {
      ...catalogue,
      products: new Map(catalogue.products),
      sources: new Map(catalogue.sources),
      ...(catalogue.refused === undefined ? {} : { refused: new Map(catalogue.refused) }),
    };
  } catch (error) {
    if (error instanceof Failure || error instanceof SyntaxError || error instanceof TypeError)
      return undefined;
    throw error;
  }
}

function keep(files: Files, path: string, key: string, catalogue: Catalogue): void {
  const plain = {
    ...catalogue,
    products: [...catalogue.products],
    sources: [...catalogue.sources],
    ...(catalogue.refused === undefined ? {} : { refused: [...catalogue.refused] }),
  };
  try {
    files.write(path, JSON.stringify({ key, digest: sha256Hex(JSON.stringify(plain)), catalogue: plain }));
  } catch (error) {
    // A workspace that cannot be written to is still read; the next command works it out again.
    if (!(error instanceof Failure)) throw error;
  }
}
