// A code that a scanner has typed: GS1 element strings (General Specifications, sections 3 and 7.8) with or without their
// separators, in brackets as under the bars, or as a Digital Link. Gives every way in which it can be read; which of them
// is a serial of a product is for `serial.ts` to say. Corrects nothing.

export interface ScannedReading {
  /** 14 digits; null where the code names none. */
  readonly gtin: string | null;
  readonly serial: string;
}

/** No code on a plate is longer; a pasted document is not tried. */
export const maxScanLength = 512;
const mostReadings = 200;
const mostElements = 8;

/** Symbology identifiers that stand before GS1 data: GS1-128, Data Matrix, QR, DataBar. */
const prefix = /^\](?:C1|d2|Q3|e0)/i;
const separator = '\u001d';
/** Control and the bracket key, which some scanners send, as a terminal shows it. */
const shownSeparator = /\^\]/g;

interface Identifier {
  readonly most: number;
  /** Always as long as that, and so without a separator. */
  readonly fixed: boolean;
  readonly digits: boolean;
}

const dates: Identifier = { most: 6, fixed: true, digits: true };
const free = (most: number): Identifier => ({ most, fixed: false, digits: false });
/** Those that stand on equipment; section 3.2. */
const identifiers: Readonly<Record<string, Identifier>> = {
  '01': { most: 14, fixed: true, digits: true },
  '11': dates,
  '12': dates,
  '13': dates,
  '15': dates,
  '16': dates,
  '17': dates,
  '20': { most: 2, fixed: true, digits: true },
  '10': free(20),
  '21': free(20),
  '22': free(20),
  '240': free(30),
  '241': free(30),
  '250': free(30),
  '251': free(30),
  '400': free(30),
  '8008': { most: 12, fixed: false, digits: true },
};

type Elements = ReadonlyMap<string, string>;

function readingOf(elements: Elements): ScannedReading[] {
  const serial = elements.get('21');
  return serial === undefined ? [] : [{ gtin: elements.get('01') ?? null, serial }];
}

/** Without separators a serial may end anywhere, as long as what follows it is read as well. */
function* splits(text: string, elements: Elements): Generator<Elements> {
  const rest = text.startsWith(separator) ? text.slice(1) : text;
  if (rest === '') {
    if (elements.size > 0) yield elements;
    return;
  }
  if (elements.size >= mostElements) return;
  for (const [code, { most, fixed, digits }] of Object.entries(identifiers)) {
    if (!rest.startsWith(code) || elements.has(code)) continue;
    const data = rest.slice(code.length);
    const isFit = (value: string) =>
      value !== '' && !value.includes(separator) && (!digits || /^\d+$/.test(value));
    if (fixed) {
      const value = data.slice(0, most);
      if (value.length === most && isFit(value))
        yield* splits(data.slice(most), new Map([...elements, [code, value]]));
      continue;
    }
    const end = data.indexOf(separator);
    if (end >= 0) {
      const value = data.slice(0, end);
      if (value.length <= most && isFit(value))
        yield* splits(data.slice(end), new Map([...elements, [code, value]]));
      continue;
    }
    for (let length = Math.min(most, data.length); length > 0; length--) {
      const value = data.slice(0, length);
      if (isFit(value)) yield* splits(data.slice(length), new Map([...elements, [code, value]]));
    }
  }
}

/** `(01)09521234543213(21)TR00000018`: as people read it under the bars. */
function bracketed(text: string): Elements | undefined {
  const elements = new Map<string, string>();
  let at = 0;
  for (const match of text.matchAll(/\((\d{2,4})\)([^()]*)/g)) {
    if (match.index !== at) return undefined;
    at += match[0].length;
    elements.set(match[1] ?? '', (match[2] ?? '').trim());
  }
  return at === text.length && elements.size > 0 ? elements : undefined;
}

/** GS1 Digital Link: keys and values as parts of the path, further ones in the query. */
function linked(text: string): Elements | undefined {
  if (!/^https?:\/\//i.test(text)) return undefined;
  try {
    const link = new URL(text);
    const elements = new Map<string, string>();
    const parts = link.pathname.split('/').filter((part) => part !== '');
    const first = parts.indexOf('01');
    for (let at = Math.max(0, first); at + 1 < parts.length; at += 2)
      elements.set(parts[at] ?? '', decodeURIComponent(parts[at + 1] ?? ''));
    for (const [key, value] of link.searchParams) if (/^\d{2,4}$/.test(key)) elements.set(key, value);
    return first >= 0 || elements.has('21') ? elements : undefined;
  } catch (error) {
    if (error instanceof TypeError || error instanceof URIError) return undefined;
    throw error;
  }
}

/** Letters as a keyboard sends them whose Y and Z have changed places. */
export function swapYAndZ(text: string): string {
  const other: Readonly<Record<string, string>> = { Y: 'Z', Z: 'Y', y: 'z', z: 'y' };
  return text.replace(/[YZyz]/g, (letter) => other[letter] ?? letter);
}

/** undefined: it is no such code. `text`: as it was typed, line end and all. */
export function readScannedCode(text: string): readonly ScannedReading[] | undefined {
  const typed = text.replace(shownSeparator, separator).replace(/^[\s\ufeff]+|[\s\ufeff]+$/g, '');
  if (typed.length > maxScanLength) return undefined;
  const link = linked(typed);
  if (link !== undefined) return readingOf(link);
  const bare = typed.replace(prefix, '');
  const isMarked = bare !== typed || bare.includes(separator);
  const inBrackets = bracketed(bare);
  if (inBrackets !== undefined) return readingOf(inBrackets);
  // Without any mark only a code that begins with a whole GTIN is one: a serial may be any digits.
  if (!isMarked && !/^01\d{14}/.test(bare)) return undefined;
  const readings: ScannedReading[] = [];
  const seen = new Set<string>();
  for (const elements of splits(bare, new Map())) {
    for (const reading of readingOf(elements)) {
      const key = `${reading.gtin} ${reading.serial}`;
      if (!seen.has(key)) readings.push(reading);
      seen.add(key);
    }
    if (readings.length >= mostReadings) break;
  }
  return readings;
}
