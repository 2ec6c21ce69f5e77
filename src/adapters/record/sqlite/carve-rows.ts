// Rows out of the bytes of a database, page by page, whatever became of its header, its inner pages or its order:
// each leaf page is read by itself (SQLite's file format, sections 1.6 and 2). Believes nothing: what a row says is for
// the caller to prove. Reads no inner pages of tables, and nothing of pages that lost their own first bytes.

/** Where pages come from: a database file, then the pages of its write-ahead log, oldest first. */
export interface PageSource {
  readonly pageBytes: number;
  /** Every copy of every page. */
  pages(): Iterable<{ readonly number: number; readonly bytes: Buffer }>;
  /** All copies of one page, the likeliest first. */
  copiesOf(number: number): readonly Buffer[];
}

export type CarvedValue = string | number | null;

const tableLeaf = 0x0d;
const indexLeaf = 0x0a;
const indexInner = 0x02;
const maxPayloadBytes = 5_000_000;
const maxColumns = 16;

/** Rows of tables and of indexes; `isTable` tells which. Of a row spread over pages, every reading there may be. */
export function* carveRows(
  source: PageSource,
): Generator<{ readonly isTable: boolean; readonly values: readonly CarvedValue[] }> {
  for (const { number, bytes } of source.pages()) {
    const start = number === 1 ? 100 : 0;
    const type = bytes[start];
    if (type !== tableLeaf && type !== indexLeaf && type !== indexInner) continue;
    const count = Math.min(bytes.readUInt16BE(start + 3), (source.pageBytes - start) >> 1);
    const list = start + (type === indexInner ? 12 : 8);
    for (let cell = 0; cell < count && list + 2 * cell + 2 <= bytes.length; cell++) {
      const at = bytes.readUInt16BE(list + 2 * cell);
      for (const payload of payloadsAt(source, bytes, at, type)) {
        const values = valuesOf(payload);
        if (values !== undefined) yield { isTable: type === tableLeaf, values };
      }
    }
  }
}

function* payloadsAt(source: PageSource, page: Buffer, at: number, type: number): Generator<Buffer> {
  const length = varint(page, type === indexInner ? at + 4 : at);
  if (length === undefined || length.value > maxPayloadBytes || length.value < 2) return;
  const rowid = type === tableLeaf ? varint(page, length.next) : length;
  if (rowid === undefined) return;
  const usable = source.pageBytes;
  const atMost = type === tableLeaf ? usable - 35 : Math.floor(((usable - 12) * 64) / 255) - 23;
  if (length.value <= atMost) {
    if (rowid.next + length.value <= page.length) yield page.subarray(rowid.next, rowid.next + length.value);
    return;
  }
  const atLeast = Math.floor(((usable - 12) * 32) / 255) - 23;
  const wanted = atLeast + ((length.value - atLeast) % (usable - 4));
  const local = wanted <= atMost ? wanted : atLeast;
  if (rowid.next + local + 4 > page.length) return;
  const head = page.subarray(rowid.next, rowid.next + local);
  const first = page.readUInt32BE(rowid.next + local);
  // The pages of one row were written together: all from the log, or all from the file.
  for (const choice of [0, 1]) {
    const rest = overflow(source, first, length.value - local, choice);
    if (rest !== undefined) yield Buffer.concat([head, ...rest]);
  }
}

function overflow(source: PageSource, first: number, bytes: number, choice: number): Buffer[] | undefined {
  const parts: Buffer[] = [];
  let left = bytes;
  for (let number = first; left > 0; ) {
    const copies = source.copiesOf(number);
    const page = choice === 0 ? copies[0] : copies.at(-1);
    if (number === 0 || page === undefined) return undefined;
    const take = Math.min(left, source.pageBytes - 4);
    parts.push(page.subarray(4, 4 + take));
    left -= take;
    number = page.readUInt32BE(0);
  }
  return parts;
}

function valuesOf(payload: Buffer): CarvedValue[] | undefined {
  const header = varint(payload, 0);
  if (header === undefined || header.value > payload.length) return undefined;
  const types: number[] = [];
  for (let at = header.next; at < header.value; ) {
    const type = varint(payload, at);
    if (type === undefined || types.length === maxColumns) return undefined;
    types.push(type.value);
    at = type.next;
  }
  const values: CarvedValue[] = [];
  let at = header.value;
  for (const type of types) {
    const length = lengthOf(type);
    if (length === undefined || at + length > payload.length) return undefined;
    values.push(decodeValue(type, payload.subarray(at, at + length)));
    at += length;
  }
  return values;
}

/** Bytes of a serial type; undefined for the kinds that no table of ours holds. */
function lengthOf(type: number): number | undefined {
  if (type <= 4) return type;
  if (type === 5) return 6;
  if (type === 6) return 8;
  if (type === 8 || type === 9) return 0;
  return type >= 13 && type % 2 === 1 ? (type - 13) / 2 : undefined;
}

function decodeValue(type: number, bytes: Buffer): CarvedValue {
  if (type === 0) return null;
  if (type === 8 || type === 9) return type - 8;
  if (type === 6) return Number(bytes.readBigInt64BE(0));
  return type < 6 ? bytes.readIntBE(0, bytes.length) : bytes.toString('utf8');
}

function varint(bytes: Buffer, at: number): { readonly value: number; readonly next: number } | undefined {
  let value = 0;
  for (let i = 0; i < 8; i++) {
    const byte = bytes[at + i];
    if (byte === undefined) return undefined;
    value = value * 128 + (byte & 0x7f);
    if (byte < 0x80) return { value, next: at + i + 1 };
  }
  const last = bytes[at + 8];
  return last === undefined ? undefined : { value: value * 256 + last, next: at + 9 };
}
