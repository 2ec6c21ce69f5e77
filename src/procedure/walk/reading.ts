// A reading of a meter as a person types it: comma or point, with its sign. What could be meant in two ways is
// not guessed at: `1.234` is one and a bit to some and over a thousand to others, and a dead test hangs on it.

export type Reading =
  | { readonly kind: 'value'; readonly value: number }
  /** A comma or a point before exactly three digits: it may group thousands. */
  | { readonly kind: 'ambiguous' }
  | { readonly kind: 'unfit' };

export function parseReading(text: string): Reading {
  const match = /^([+\-\u2212])?\s?(\d{1,9})(?:[.,](\d{1,6}))?$/.exec(text.trim());
  if (match === null) return { kind: 'unfit' };
  const [, sign, whole = '', fraction] = match;
  if (fraction?.length === 3 && whole.length <= 3 && Number(whole) > 0) return { kind: 'ambiguous' };
  const value = Number(`${whole}.${fraction ?? '0'}`);
  return { kind: 'value', value: sign === undefined || sign === '+' || value === 0 ? value : -value };
}
