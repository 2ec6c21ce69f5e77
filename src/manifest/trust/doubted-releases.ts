// What a manifest that is not trusted may still do: stop. Where its text speaks of a withdrawal, every release whose product
// and version stand in it is in doubt until the manifest is signed or taken away. Words are looked for; nothing is parsed,
// since a text that nobody answers for is not read as a manifest. In doubt too many are stopped, never too few.

import type { Release } from '../schema.ts';

/** As a key of YAML or JSON; a word in a note is none. In doubt it does. */
export function speaksOfWithdrawal(text: string): boolean {
  return /(?:^|[\s{,])["']?withdrawn["']?\s*:/.test(text);
}

/**
 * Of those given, the ones that the text may mean to withdraw: whose product and version it has under these keys; where there
 * is none such, all whose product and version stand anywhere in it.
 */
export function releasesInDoubt(text: string, releases: readonly Release[]): Release[] {
  if (!speaksOfWithdrawal(text)) return [];
  const named = releases.filter(
    ({ product, version }) =>
      hasWord(text, product, keyed('product')) && hasWord(text, version, keyed('version')),
  );
  if (named.length > 0) return named;
  return releases.filter(({ product, version }) => hasWord(text, product) && hasWord(text, version));
}

/** Of those given, the ones that stand in the text as the product of a release. */
export function productsNamed(text: string, products: Iterable<string>): string[] {
  return [...products].filter((product) => hasWord(text, product, keyed('product')));
}

const keyed = (key: string) => `(?:^|[\\s{,])["']?${key}["']?\\s*:\\s*["']?`;

function hasWord(text: string, word: string, before = '(?<![\\w.-])'): boolean {
  const escaped = word.replace(/[^\w]/g, '\\$&');
  return new RegExp(`${before}${escaped}(?![\\w-]|\\.\\w)`, 'i').test(text);
}
