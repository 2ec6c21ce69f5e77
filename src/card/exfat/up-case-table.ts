// The up-case table of an exFAT volume (specification, section 7.2): how names are compared on it, and the hash of a name
// that its entry carries. Pure: bytes in, a table out.

/** Runs of letters that are their own upper case are written as this mark and their number (section 7.2.5). */
const runMark = 0xffff;
const letterCount = 0x1_0000;

export type UpCaseTable = Uint16Array;

/** Section 7.2.2: over every byte of the table as it lies on the card. */
export function upCaseChecksum(bytes: Uint8Array): number {
  let sum = 0;
  for (const byte of bytes) sum = ((((sum & 1) << 31) | (sum >>> 1)) + byte) >>> 0;
  return sum;
}

function identity(): Uint16Array {
  const table = new Uint16Array(letterCount);
  for (let letter = 0; letter < letterCount; letter++) table[letter] = letter;
  return table;
}

/** What the first 128 letters must be (section 7.2.5, table 24). */
const plainUpper = (letter: number) => (letter >= 0x61 && letter <= 0x7a ? letter - 0x20 : letter);

/** Every letter its own upper case, but a to z. */
export function plainUpCase(): UpCaseTable {
  const table = identity();
  for (let letter = 0; letter < 128; letter++) table[letter] = plainUpper(letter);
  return table;
}

/** undefined where it runs over, or makes other letters of the first 128 than every volume must. */
export function decodeUpCase(bytes: Uint8Array): UpCaseTable | undefined {
  const table = identity();
  let letter = 0;
  for (let at = 0; at + 1 < bytes.length && letter < letterCount; at += 2) {
    const value = (bytes[at] ?? 0) | ((bytes[at + 1] ?? 0) << 8);
    // The last letter of all is 0xFFFF itself, and stands for itself.
    if (value === runMark && at + 3 < bytes.length && letter < runMark) {
      at += 2;
      letter += (bytes[at] ?? 0) | ((bytes[at + 1] ?? 0) << 8);
      if (letter > letterCount) return undefined;
    } else table[letter++] = value;
  }
  for (let first = 0; first < 128; first++) if (table[first] !== plainUpper(first)) return undefined;
  return table;
}

export function upCase(name: string, table: UpCaseTable): string {
  let upper = '';
  for (let at = 0; at < name.length; at++) {
    const letter = name.charCodeAt(at);
    upper += String.fromCharCode(table[letter] ?? letter);
  }
  return upper;
}

/** Section 7.6.4: of the name in upper case, its letters as UTF-16. */
export function nameHash(upper: string): number {
  let hash = 0;
  const add = (byte: number): void => {
    hash = ((((hash & 1) << 15) | (hash >>> 1)) + byte) & 0xffff;
  };
  for (let at = 0; at < upper.length; at++) {
    add(upper.charCodeAt(at) & 0xff);
    add(upper.charCodeAt(at) >>> 8);
  }
  return hash;
}
