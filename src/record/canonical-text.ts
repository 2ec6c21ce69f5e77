// JSON in the one form that is hashed: RFC 8785 (JSON Canonicalization Scheme). What that form cannot hold
// (no I-JSON: lone surrogates, numbers that are no finite double) is refused instead of being changed.

import canonicalize from 'canonicalize';
import { isPlainCanonical } from './plain-canonical.ts';

/** Names sorted by UTF-16 code units, no white space, shortest numbers. A name whose value is undefined is left out. */
export function canonicalText(value: unknown): string {
  if (typeof value === 'string' && isPlainText(value)) return `"${value}"`;
  const sorted = isInOrder(value, 0) ? value : inOrder(value, 0);
  if (sorted !== unsure) {
    const quick = JSON.stringify(sorted);
    // Half of a character only stands as \ud800 there; so may two that were typed: the slow way decides.
    if (quick !== undefined && !quick.includes('\\ud')) return quick;
  }
  requireExact(value, 0);
  const text = canonicalize(value);
  if (text === undefined) throw new TypeError('nothing to write as JSON');
  return text;
}

/** Whether `text` is that one form of `value`, which was parsed from it. */
export function isCanonicalText(text: string, value: unknown): boolean {
  if (isPlainCanonical(text, maxDepth)) return true;
  try {
    return canonicalText(value) === text;
  } catch {
    return false;
  }
}

const maxDepth = 64;

/** Written as it is. */
function isPlainText(text: string): boolean {
  for (let at = 0; at < text.length; at++) {
    const letter = text.charCodeAt(at);
    if (letter < 0x20 || letter > 0x7e || letter === 0x22 || letter === 0x5c) return false;
  }
  return true;
}

/** Whether the engine writes `value` as RFC 8785 has it, as it is: the usual case, since most are made in order. */
function isInOrder(value: unknown, depth: number): boolean {
  if (depth > maxDepth) return false;
  if (value === null || typeof value === 'string' || typeof value === 'boolean') return true;
  if (typeof value === 'number') return Number.isFinite(value);
  if (typeof value !== 'object') return false;
  if (Array.isArray(value)) {
    for (const member of value) if (!isInOrder(member, depth + 1)) return false;
    return true;
  }
  const prototype = Object.getPrototypeOf(value);
  if (prototype !== Object.prototype && prototype !== null) return false;
  let before = '';
  for (const name in value) {
    if (name <= before || isSpecialName(name)) return false;
    before = name;
    if (!isInOrder((value as Record<string, unknown>)[name], depth + 1)) return false;
  }
  return true;
}

/** Names that are whole numbers come first in any object; __proto__ is none of its own; toJSON is asked. */
function isSpecialName(name: string): boolean {
  const first = name.charCodeAt(0);
  return (first >= 0x30 && first <= 0x39) || name === '__proto__' || name === 'toJSON';
}

const unsure = Symbol('unsure');

/** A copy whose names come in order, so that the engine writes it as RFC 8785 has it; `unsure` where it might not. */
function inOrder(value: unknown, depth: number): unknown {
  if (depth > maxDepth) return unsure;
  if (value === null || typeof value === 'string' || typeof value === 'boolean') return value;
  if (typeof value === 'number') return Number.isFinite(value) ? value : unsure;
  if (typeof value !== 'object') return unsure;
  if (Array.isArray(value)) {
    const members: unknown[] = [];
    for (const member of value) {
      const copy = inOrder(member, depth + 1);
      if (copy === unsure) return unsure;
      members.push(copy);
    }
    return members;
  }
  const prototype = Object.getPrototypeOf(value);
  if (prototype !== Object.prototype && prototype !== null) return unsure;
  const copy: Record<string, unknown> = {};
  for (const name of Object.keys(value).sort()) {
    const member = (value as Record<string, unknown>)[name];
    if (member === undefined) continue;
    if (isSpecialName(name)) return unsure;
    const ordered = inOrder(member, depth + 1);
    if (ordered === unsure) return unsure;
    copy[name] = ordered;
  }
  return copy;
}

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
