// Is a text surely in the form of RFC 8785? Read letter by letter, without making a value of it: true where names are
// sorted, there is no white space, and every text and number has one spelling alone. What may have several (escapes,
// fractions, halves of characters) is not decided here: false says "look closer", never "wrong".

const quote = 0x22;
const backslash = 0x5c;
const comma = 0x2c;
const colon = 0x3a;
const openBracket = 0x5b;
const closeBracket = 0x5d;
const openBrace = 0x7b;
const closeBrace = 0x7d;
const minus = 0x2d;
const zero = 0x30;
const nine = 0x39;

/** Sixteen digits may be more than a double holds. */
const maxDigits = 15;
const no = -1;

/** `maxDepth`: objects and arrays within one another. */
export function isPlainCanonical(text: string, maxDepth: number): boolean {
  return endOfValue(text, 0, maxDepth) === text.length;
}

/** Each of these: the place after what begins at `at`, or `no`. */
function endOfValue(text: string, at: number, depth: number): number {
  switch (text.charCodeAt(at)) {
    case quote:
      return endOfText(text, at);
    case openBrace:
      return endOfObject(text, at, depth);
    case openBracket:
      return endOfArray(text, at, depth);
    case 0x74:
      return text.startsWith('true', at) ? at + 4 : no;
    case 0x66:
      return text.startsWith('false', at) ? at + 5 : no;
    case 0x6e:
      return text.startsWith('null', at) ? at + 4 : no;
    default:
      return endOfWholeNumber(text, at);
  }
}

function endOfText(text: string, from: number): number {
  for (let at = from + 1; at < text.length; at++) {
    const letter = text.charCodeAt(at);
    if (letter === quote) return at + 1;
    if (letter < 0x20 || letter === backslash || (letter >= 0xd800 && letter <= 0xdfff)) return no;
  }
  return no;
}

function endOfWholeNumber(text: string, from: number): number {
  const first = text.charCodeAt(from) === minus ? from + 1 : from;
  let at = first;
  while (text.charCodeAt(at) >= zero && text.charCodeAt(at) <= nine) at++;
  if (at === first || at - first > maxDigits) return no;
  if (text.charCodeAt(first) === zero && (at - first > 1 || first > from)) return no;
  const next = text.charCodeAt(at);
  // A point or an exponent: not a whole number.
  return next === comma || next === closeBrace || next === closeBracket || at === text.length ? at : no;
}

function endOfArray(text: string, from: number, depth: number): number {
  if (depth === 0) return no;
  let at = from + 1;
  if (text.charCodeAt(at) === closeBracket) return at + 1;
  for (;;) {
    at = endOfValue(text, at, depth - 1);
    if (at === no) return no;
    const next = text.charCodeAt(at++);
    if (next === closeBracket) return at;
    if (next !== comma) return no;
  }
}

function endOfObject(text: string, from: number, depth: number): number {
  if (depth === 0) return no;
  let at = from + 1;
  if (text.charCodeAt(at) === closeBrace) return at + 1;
  let before = no;
  let beforeEnd = no;
  for (;;) {
    const name = at;
    if (text.charCodeAt(at) !== quote) return no;
    at = endOfText(text, at);
    if (at === no || text.charCodeAt(at) !== colon) return no;
    if (before !== no && !isAfter(text, { name, nameEnd: at - 1, before, beforeEnd })) return no;
    before = name;
    beforeEnd = at - 1;
    at = endOfValue(text, at + 1, depth - 1);
    if (at === no) return no;
    const next = text.charCodeAt(at++);
    if (next === closeBrace) return at;
    if (next !== comma) return no;
  }
}

interface TwoNames {
  /** The places of their quotes. */
  readonly name: number;
  readonly nameEnd: number;
  readonly before: number;
  readonly beforeEnd: number;
}

/** By UTF-16 code units; two alike are out of order. */
function isAfter(text: string, { name, nameEnd, before, beforeEnd }: TwoNames): boolean {
  const shorter = Math.min(nameEnd - name, beforeEnd - before);
  for (let i = 1; i < shorter; i++) {
    const difference = text.charCodeAt(name + i) - text.charCodeAt(before + i);
    if (difference !== 0) return difference > 0;
  }
  return nameEnd - name > beforeEnd - before;
}
