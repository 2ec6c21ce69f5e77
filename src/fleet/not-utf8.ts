// Where bytes stop being UTF-8, for a person who looks for the letter in an editor. Judges nothing else of a text.

export interface NotUtf8 {
  /** Line ends before it, from the beginning of the piece. */
  readonly line: number;
  readonly seen: string;
}

const lineFeed = 0x0a;
const carriageReturn = 0x0d;

/** How many bytes the letter takes that begins with this one; 0: none does. */
function lengthOf(first: number): number {
  if (first < 0x80) return 1;
  if (first >= 0xc2 && first < 0xe0) return 2;
  if (first >= 0xe0 && first < 0xf0) return 3;
  return first >= 0xf0 && first < 0xf5 ? 4 : 0;
}

/** Of the letter that is not finished at the end of `bytes`; none where they end with a whole one. */
function unfinished(bytes: Uint8Array): Uint8Array {
  for (let back = 1; back <= Math.min(3, bytes.length); back++) {
    const from = bytes.length - back;
    const length = lengthOf(bytes[from] ?? 0);
    if (length > 1) return length > back ? bytes.slice(from) : new Uint8Array();
    if (length === 1) break;
  }
  return new Uint8Array();
}

const isUtf8 = (bytes: Uint8Array) => {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    return true;
  } catch {
    return false;
  }
};

/** `before`: the last bytes that were taken, which were UTF-8. An empty piece: the text ends there. */
export function firstNotUtf8(before: Uint8Array, piece: Uint8Array): NotUtf8 {
  const begun = unfinished(before);
  const bytes = new Uint8Array(begun.length + piece.length);
  bytes.set(begun);
  bytes.set(piece, begun.length);
  let line = 0;
  for (let at = 0; at < bytes.length; ) {
    const first = bytes[at] ?? 0;
    const length = lengthOf(first);
    // A piece that ends within a letter is no fault of the piece: the text ended there.
    if (at + length > bytes.length && unfinished(bytes).length > 0) break;
    if (length === 0 || (length > 1 && !isUtf8(bytes.subarray(at, at + length)))) {
      const hex = first.toString(16).toUpperCase().padStart(2, '0');
      return { line, seen: `the byte ${hex}, which is no letter there` };
    }
    const isLineEnd = first === lineFeed ? bytes[at - 1] !== carriageReturn : first === carriageReturn;
    if (isLineEnd) line += 1;
    at += length;
  }
  return { line, seen: 'a letter that is cut off at the end' };
}
