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
