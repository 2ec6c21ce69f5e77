// A short text as symbols of a code: its length first, then all its characters as one number. Only characters of one
// small set each for serials and versions; a text with any other has no short form, and goes by file or QR code.

import { base, convertDigits, type Symbols } from './code-symbols.ts';

export const serialCharacters = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-./*_+# ';
export const versionCharacters = '0123456789.-';

/** One symbol tells a length of up to 21; 22 is followed by one more. */
const long = base - 1;
const longestText = long + base - 1;

function symbolCount(length: number, characters: string): number {
  return Math.ceil((length * Math.log(characters.length)) / Math.log(base) - 1e-9);
}

export function packText(text: string, characters: string): number[] | undefined {
  const digits = [...text].map((character) => characters.indexOf(character));
  if (digits.length === 0 || digits.length > longestText || digits.includes(-1)) return undefined;
  const length = digits.length < long ? [digits.length] : [long, digits.length - long];
  const count = symbolCount(digits.length, characters);
  return [...length, ...convertDigits(digits, characters.length, base, count)];
}

/** The text at `from`, and where what follows it begins; undefined where it is not whole. */
export function unpackText(
  symbols: Symbols,
  from: number,
  characters: string,
): { readonly text: string; readonly next: number } | undefined {
  const first = symbols[from];
  if (first === undefined) return undefined;
  const more = first === long ? symbols[from + 1] : 0;
  if (more === undefined) return undefined;
  const begin = from + (first === long ? 2 : 1);
  const length = first + more;
  const next = begin + symbolCount(length, characters);
  if (length === 0 || next > symbols.length) return undefined;
  const text = convertDigits(symbols.slice(begin, next), base, characters.length, length)
    .map((digit) => characters[digit])
    .join('');
  // One text, one form: what packs otherwise was not packed here.
  const again = packText(text, characters);
  return again?.every((symbol, i) => symbol === symbols[from + i]) ? { text, next } : undefined;
}
