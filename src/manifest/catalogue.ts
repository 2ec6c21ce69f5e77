// All manifests of a workspace that are sound, by product and release, and the findings of those that are not.
// Filled in by the manifest work: this is the shape that others rely on.

import type { Finding } from '../words/finding.ts';
import type { Product, Release } from './schema.ts';

export interface Catalogue {
  readonly products: ReadonlyMap<string, Product>;
  /** Of all products, withdrawn ones included, in order of product and sequence. */
  readonly releases: readonly Release[];
  /** Where each manifest was read from: absolute path by `product` id or `product@version`. */
  readonly sources: ReadonlyMap<string, string>;
  readonly findings: readonly Finding[];
}
