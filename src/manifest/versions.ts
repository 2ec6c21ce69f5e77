// Versions compared as their product's scheme says: part by part as numbers of any length, missing parts are 0,
// so `4.10` is newer than `4.9` and `4.2` is `4.2.0`. Never converts a part to a floating-point number, so a
// hostile version of many digits compares right. Does not guess at versions that the scheme does not know.

import type { VersionScheme } from './product-schema.ts';
import type { From } from './release-schema.ts';

const maxLength = 64;

/** The numeric parts, leading zeros dropped; undefined where the text is no version of the scheme. */
function partsOf(scheme: VersionScheme, text: string): readonly string[] | undefined {
  if (text.length === 0 || text.length > maxLength) return undefined;
  if (scheme === 'date') return datePartsOf(text);
  const pattern = scheme === 'integer' ? /^[0-9]+$/ : /^[0-9]+(?:\.[0-9]+)*$/;
  return pattern.test(text) ? text.split('.').map(withoutLeadingZeros) : undefined;
}

/** `2026-10-01`, `2026.10.1`, `20261001`, `2026-10`, `202610`; a fourth part counts issues of one day. */
function datePartsOf(text: string): readonly string[] | undefined {
  const match =
    /^([0-9]{4})([0-9]{2})([0-9]{2})?$/.exec(text) ??
    /^([0-9]{4})([.-])([0-9]{1,2})(?:\2([0-9]{1,2})(?:[.-]([0-9]+))?)?$/.exec(text);
  if (!match) return undefined;
  const [year, month, day, issue] =
    match.length === 4 ? [match[1], match[2], match[3]] : [match[1], match[3], match[4], match[5]];
  if (Number(month) < 1 || Number(month) > 12) return undefined;
  if (day !== undefined && (Number(day) < 1 || Number(day) > 31)) return undefined;
  return [year, month, day, issue].map((part) => withoutLeadingZeros(part ?? '0'));
}

function withoutLeadingZeros(digits: string): string {
  return digits.replace(/^0+(?=[0-9])/, '');
}

/** Both without leading zeros: the longer is the larger, then digit by digit. */
function comparePart(a: string, b: string): number {
  if (a.length !== b.length) return a.length < b.length ? -1 : 1;
  return a === b ? 0 : a < b ? -1 : 1;
}

/** Is this text a version of the scheme? Ask before a version that a person typed is kept. */
export function isVersion(scheme: VersionScheme, text: string): boolean {
  return partsOf(scheme, text) !== undefined;
}

/**
 * Negative where `a` is older than `b`, 0 where they are the same version, positive where it is newer. A text
 * that is no version of the scheme counts as older than every version, and such texts compare as text.
 */
export function compareVersions(scheme: VersionScheme, a: string, b: string): number {
  const [left, right] = [partsOf(scheme, a), partsOf(scheme, b)];
  if (left === undefined || right === undefined) {
    if (left !== undefined) return 1;
    if (right !== undefined) return -1;
    return a === b ? 0 : a < b ? -1 : 1;
  }
  const count = Math.max(left.length, right.length);
  for (let i = 0; i < count; i++) {
    const order = comparePart(left[i] ?? '0', right[i] ?? '0');
    if (order !== 0) return order;
  }
  return 0;
}

export function sameVersion(scheme: VersionScheme, a: string, b: string): boolean {
  return compareVersions(scheme, a, b) === 0;
}

/** May a release with this `from` be installed on a unit that has `version`? Its own version is not judged here. */
export function admits(scheme: VersionScheme, from: From, version: string): boolean {
  switch (from.kind) {
    case 'any':
      return true;
    case 'list':
      return from.versions.some((listed) => sameVersion(scheme, listed, version));
    case 'range':
      // What cannot be compared cannot be shown to lie within.
      if (!isVersion(scheme, version)) return false;
      return (
        (from.atLeast === undefined || compareVersions(scheme, version, from.atLeast) >= 0) &&
        (from.below === undefined || compareVersions(scheme, version, from.below) < 0)
      );
  }
}
