// The characters of a code that is read out over the telephone, as numbers modulo 23, and the two check characters
// that tell a mistyped one. Letters that look like a digit or like each other, and vowels, are left out, as in sheet
// numbers; there are 23, since a prime number of them lets two check characters catch so much:
//
// every single wrong character, every two wrong characters within 22 places, every swap of two characters within 22
// places. More than two wrong ones pass once in 529; the keyed check, which follows, then catches all but a few.

export const codeLetters = '23456789CDFHJKLMNPRTWXY';
export const base = 23;
/** Of the multiplicative group modulo 23: its powers are all different for 22 places. */
const generator = 5;

export type Symbols = readonly number[];

function power(of: number, exponent: number): number {
  let result = 1;
  for (let i = 0; i < exponent; i++) result = (result * of) % base;
  return result;
}

function mod(value: number): number {
  return ((value % base) + base) % base;
}

function sums(symbols: Symbols): [plain: number, weighted: number] {
  let [plain, weighted, weight] = [0, 0, 1];
  for (const symbol of symbols) {
    plain = mod(plain + symbol);
    weighted = mod(weighted + weight * symbol);
    weight = (weight * generator) % base;
  }
  return [plain, weighted];
}

/** The two symbols after which both sums are 0. */
export function withCheckSymbols(symbols: Symbols): number[] {
  const [plain, weighted] = sums(symbols);
  const first = power(generator, symbols.length % 22);
  const second = mod(first * generator);
  // a + b = -plain and first a + second b = -weighted; division by (first - second) is a power (Fermat).
  const a = mod(mod(second * plain - weighted) * power(mod(first - second), base - 2));
  return [...symbols, a, mod(-plain - a)];
}

export function checkSymbolsAgree(symbols: Symbols): boolean {
  const [plain, weighted] = sums(symbols);
  return plain === 0 && weighted === 0;
}

export const groupLength = 4;

/** `K7MD-29XH-CC4T-HW3P`; the symbols must fill whole groups. */
export function formatCode(symbols: Symbols): string {
  const text = symbols.map((symbol) => codeLetters[symbol]).join('');
  return text.match(/.{4}/g)?.join('-') ?? '';
}

/** In any case, with blanks, hyphens and dots anywhere. */
export function cleanCode(typed: string): string {
  return typed
    .normalize('NFKC')
    .toUpperCase()
    .replace(/[\s\-_.\u2010-\u2015\u2212]/g, '');
}

/** undefined where a character is none of the letters. */
export function symbolsOf(cleaned: string): number[] | undefined {
  const symbols = [...cleaned].map((character) => codeLetters.indexOf(character));
  return symbols.includes(-1) ? undefined : symbols;
}

/**
 * The `count` lowest digits to base `to` of a number given by its digits to base `from`, the highest first in both.
 * For numbers of some hundred bits, without big integers, which older phones lack.
 */
export function convertDigits(digits: readonly number[], from: number, to: number, count: number): number[] {
  let rest = [...digits];
  const result: number[] = [];
  for (let i = 0; i < count; i++) {
    let remainder = 0;
    const quotient: number[] = [];
    for (const digit of rest) {
      const value = remainder * from + digit;
      quotient.push(Math.floor(value / to));
      remainder = value % to;
    }
    result.push(remainder);
    rest = quotient;
  }
  return result.reverse();
}
