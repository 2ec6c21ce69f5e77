// Text that a person typed or a table holds, made fit to be kept: one line, single blanks, composed characters,
// bounded. What no keyboard means to send (control and direction characters) is refused, not silently dropped.

const blanks = /[\s\u0085\u00a0\u2028\u2029\ufeff]+/gu;
const unfit =
  /[\u0000-\u001f\u007f-\u009f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ufff9-\ufffd]|\p{Surrogate}/u;

/** The text to keep, '' where there is nothing but blanks; undefined where it is too long or unfit. */
export function plainText(text: string, maxLength: number): string | undefined {
  if (text.length > 4 * maxLength + 1000) return undefined;
  const plain = text.normalize('NFC').replace(blanks, ' ').trim();
  return plain.length > maxLength || unfit.test(plain) ? undefined : plain;
}
