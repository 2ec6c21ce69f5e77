// A mark as it is printed on paper and typed back: the entry's id and the beginning of its hash. Eighty bits are
// enough that nobody makes another entry with the same beginning, and few enough to compare by eye.

import type { Mark } from '../ports/record-store.ts';

const shownDigits = 20;
const fewestDigits = 16;

/** `k7mq4rt2-17 3f9a1 22c04 9be17 a0d52`. */
export function formatMark({ laptop, seq, hash }: Mark): string {
  const groups = hash.slice(0, shownDigits).match(/.{1,5}/g) ?? [];
  return `${laptop}-${seq} ${groups.join(' ')}`;
}

const form = /^([a-z0-9]{1,32})-([1-9]\d{0,14})[\s:]+([0-9a-f][0-9a-f\s]*)$/i;

/** Blanks do not count; at least 16 digits of the hash. undefined: no mark. */
export function parseMark(text: string): Mark | undefined {
  const match = form.exec(text.trim());
  if (match === null) return undefined;
  const hash = match[3]!.replace(/\s/g, '').toLowerCase();
  if (hash.length < fewestDigits || hash.length > 64) return undefined;
  return { laptop: match[1]!.toLowerCase(), seq: Number(match[2]), hash };
}
