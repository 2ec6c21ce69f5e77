// Reads a serial as a person typed it, a scanner sent it or a table holds it: trimmed, in the capitals or small
// letters that the maker's pattern wants, matched in full, its check characters verified. It corrects nothing
// else: what does not fit is refused with a reason; what was probably meant is `near-serials.ts`' suggestion. Of a code
// that a scanner sent, the serial in it is read (`scanned-code.ts`); where two readings fit, neither is taken.

import { RE2JS } from 're2js';
import { printable } from '../words/printable.ts';
import { type CheckScheme, checkCharactersAgree } from './check-characters.ts';
import { readScannedCode, type ScannedReading, swapYAndZ } from './scanned-code.ts';

/** What of a product manifest a serial is read by. */
export interface SerialRule {
  readonly id: string;
  readonly hardware: readonly string[];
  readonly serial: {
    readonly pattern: string;
    readonly check?: CheckScheme | undefined;
    /** 14 digits, by which a scanned code names the product. */
    readonly gtin?: string | undefined;
  };
}

/** One product that the serial can belong to. */
export interface SerialMatch {
  readonly product: string;
  /** From the pattern's named group `hardware`; null where it has none, or the group took no part. */
  readonly hardware: string | null;
}

export type SerialRefusal =
  | 'serial-empty'
  | 'serial-too-long'
  | 'serial-form'
  | 'serial-check'
  | 'serial-hardware'
  /** A code that a scanner sent fits several serials: see `choices`. */
  | 'serial-ambiguous';

export type SerialReading =
  | { readonly ok: true; readonly serial: string; readonly matches: readonly [SerialMatch, ...SerialMatch[]] }
  | {
      readonly ok: false;
      readonly serial: string;
      readonly code: SerialRefusal;
      readonly summary: string;
      /** Every serial that a scanned code can be read as. */
      readonly choices?: readonly string[];
    };

/** No plate carries more, and a bound keeps a pasted document from being matched. */
export const maxSerialLength = 64;

/** Blanks of every width, and the line ends, tabs and zero-width marks that scanners and web pages add. */
const edges = /^[\s\u0000-\u001f\u200b-\u200f\u2060\ufeff]+|[\s\u0000-\u001f\u200b-\u200f\u2060\ufeff]+$/g;

/** All products that the serial can belong to, in the order given; most often there is one. */
export function readSerial(text: string, products: Iterable<SerialRule>): SerialReading {
  const rules = [...products];
  const plain = readPlain(text, rules);
  if (plain.ok) return plain;
  const scanned = readScannedCode(text);
  return scanned === undefined ? plain : readScanned(text, scanned, rules);
}

function readPlain(text: string, products: readonly SerialRule[]): SerialReading {
  const serial = text.replace(edges, '');
  if (serial === '') return refuse(serial, 'serial-empty', 'No serial was given');
  if (serial.length > maxSerialLength)
    return refuse(serial, 'serial-too-long', `A serial has at most ${maxSerialLength} characters`);

  const matches: { spelling: string; match: SerialMatch }[] = [];
  let refusal: SerialReading | undefined;
  for (const product of products) {
    const result = readFor(serial, product);
    if (result === undefined) continue;
    if ('match' in result) matches.push(result);
    else refusal ??= result;
  }

  const first = matches[0];
  if (first === undefined) return refusal ?? unlike(serial);
  // Products that want different capitals read different serials: the first one's spelling decides.
  const agreeing = matches.filter(({ spelling }) => spelling === first.spelling).map(({ match }) => match);
  return { ok: true, serial: first.spelling, matches: agreeing as [SerialMatch, ...SerialMatch[]] };
}

function unlike(serial: string): SerialReading {
  if (/^\d(?:[.,]\d+)?E\+?\d+$/i.test(serial))
    return refuse(
      serial,
      'serial-form',
      `"${printable(serial)}" is what a spreadsheet makes of a long number: give the column the form of text, and type the serial anew`,
    );
  return refuse(
    serial,
    'serial-form',
    `"${printable(serial)}" has not the form of any known product's serials`,
  );
}

/** Every way to read the code, for every product whose GTIN it may be. */
function readScanned(
  text: string,
  readings: readonly ScannedReading[],
  products: readonly SerialRule[],
): SerialReading {
  const found = new Map<string, Extract<SerialReading, { ok: true }>>();
  let refusal: SerialReading | undefined;
  const take = (spell: (serial: string) => string): void => {
    for (const { gtin, serial } of readings) {
      const named = products.filter((product) => gtin !== null && product.serial.gtin === gtin);
      // A product that states no GTIN may be meant as well; one that states another is not.
      const open = products.filter((product) => gtin === null || product.serial.gtin === undefined);
      const read = readPlain(spell(serial), named.length > 0 ? named : open);
      if (read.ok) found.set(read.serial, read);
      else if (read.code !== 'serial-form') refusal ??= read;
    }
  };
  take((serial) => serial);
  if (found.size === 0) take(swapYAndZ);
  const [only] = found.values();
  if (only !== undefined && found.size === 1) return only;
  const shown = printable(text.trim(), 100);
  if (only === undefined)
    return (
      refusal ?? refuse(text.trim(), 'serial-form', `The code "${shown}" holds no serial of a known product`)
    );
  const choices = [...found.keys()];
  const several = `The code can be read in several ways: ${choices.map((one) => printable(one)).join(', ')}`;
  return { ok: false, serial: text.trim(), code: 'serial-ambiguous', summary: several, choices };
}

type ProductReading = { spelling: string; match: SerialMatch } | (SerialReading & { ok: false }) | undefined;

function readFor(serial: string, product: SerialRule): ProductReading {
  const pattern = compiled(product.serial.pattern);
  if (pattern === undefined) return undefined;
  for (const spelling of spellings(serial, product.serial.pattern)) {
    const matcher = pattern.matcher(spelling);
    if (!matcher.matches()) continue;
    if (!checkCharactersAgree(product.serial.check ?? 'none', spelling))
      return refuse(
        spelling,
        'serial-check',
        `"${printable(spelling)}" has the form of a ${product.id} serial, but its check characters do not agree: a character is wrong or two are swapped`,
      );
    const hardware = hardwareGroup in pattern.namedGroups() ? matcher.group(hardwareGroup) : null;
    if (hardware !== null && !product.hardware.includes(hardware))
      return refuse(
        spelling,
        'serial-hardware',
        `"${printable(spelling)}" names hardware revision ${printable(hardware)}, which ${product.id} does not have (${product.hardware.join(', ')})`,
      );
    return { spelling, match: { product: product.id, hardware } };
  }
  return undefined;
}

const hardwareGroup = 'hardware';

/**
 * As typed first, then in the case that a pattern may want; Caps Lock inverts what was meant. A pattern that
 * ignores case as a whole would make two serials of one unit, so there capitals decide.
 */
function spellings(serial: string, pattern: string): Set<string> {
  const ignoresCase = /^\^?\(\?[a-z]*i[a-z]*\)/.test(pattern);
  const capitals = serial.toUpperCase();
  if (ignoresCase) return new Set([capitals]);
  return new Set([serial, capitals, serial.toLowerCase(), invertCase(serial)]);
}

function invertCase(text: string): string {
  return [...text]
    .map((character) =>
      character === character.toUpperCase() ? character.toLowerCase() : character.toUpperCase(),
    )
    .join('');
}

// Compiling costs more than thousands of matches, so each pattern is compiled once per run. A pattern that does
// not compile is a fault of its manifest, told by the manifest check; here it matches nothing.
const patterns = new Map<string, RE2JS | undefined>();

function compiled(pattern: string): RE2JS | undefined {
  if (!patterns.has(pattern)) {
    let compiledPattern: RE2JS | undefined;
    try {
      compiledPattern = RE2JS.compile(pattern);
    } catch {
      compiledPattern = undefined;
    }
    patterns.set(pattern, compiledPattern);
  }
  return patterns.get(pattern);
}

function refuse(serial: string, code: SerialRefusal, summary: string): SerialReading & { ok: false } {
  return { ok: false, serial, code, summary };
}
