// JSON in the one form that is hashed: RFC 8785 (JSON Canonicalization Scheme). What that form cannot hold
// (no I-JSON: lone surrogates, numbers that are no finite double) is refused instead of being changed.

import canonicalize from 'canonicalize';

/** Names sorted by UTF-16 code units, no white space, shortest numbers. A name whose value is undefined is left out. */
export function canonicalText(value: unknown): string {
  requireExact(value, 0);
  const text = canonicalize(value);
  if (text === undefined) throw new TypeError('nothing to write as JSON');
  return text;
}

/** Whether `text` is that one form of `value`, which was parsed from it. */
export function isCanonicalText(text: string, value: unknown): boolean {
  // JSON.stringify writes numbers and texts as RFC 8785 does, and names in the order in which they were parsed; whole
  // numbers among names alone come first there. So most texts are told by what the engine does fast. Where that does
  // not agree, the slow way decides; texts with half of a character, which only stand as \ud800, go that way too.
  if (isSorted(value, 0) && JSON.stringify(value) === text && !text.includes('\\ud')) return true;
  try {
    return canonicalText(value) === text;
  } catch {
    return false;
  }
}

/** Every object's names in order of UTF-16 code units, and nothing nested too deep. */
function isSorted(value: unknown, depth: number): boolean {
  if (depth > maxDepth) return false;
  if (typeof value !== 'object' || value === null) return true;
  if (Array.isArray(value)) {
    for (const member of value) if (!isSorted(member, depth + 1)) return false;
    return true;
  }
  let before: string | undefined;
  for (const name of Object.keys(value)) {
    if (before !== undefined && name <= before) return false;
    before = name;
    const member = (value as Record<string, unknown>)[name];
    if (!isSorted(member, depth + 1)) return false;
  }
  return true;
}

const maxDepth = 64;

function requireExact(value: unknown, depth: number): void {
  if (depth > maxDepth) throw new TypeError(`JSON nested more than ${maxDepth} deep`);
  switch (typeof value) {
    case 'string':
      if (/\p{Surrogate}/u.test(value))
        throw new TypeError('a text holds half of a character (a lone surrogate)');
      return;
    case 'number':
      if (!Number.isFinite(value)) throw new TypeError('a number is not finite');
      return;
    case 'object':
      if (value === null) return;
      if (Array.isArray(value)) {
        for (const member of value) requireExact(member, depth + 1);
        return;
      }
      for (const [name, member] of Object.entries(value)) {
        requireExact(name, depth + 1);
        requireExact(member, depth + 1);
      }
      return;
    case 'boolean':
    case 'undefined':
      return;
    default:
      throw new TypeError(`${typeof value} is no JSON`);
  }
}
