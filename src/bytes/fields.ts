// Little-endian field tables: an on-disk structure is a table of {offset, width} by name, so that no bare
// offset stands anywhere else. Decoding and encoding are inverse over the fields of the table; bytes that no
// field covers are left as they are. Does not check what a value means.

export interface Field {
  readonly offset: number;
  /** 1, 2, 4 or 8 bytes. 8-byte values must fit 2^53. */
  readonly width: 1 | 2 | 4 | 8;
}

export type FieldTable = Readonly<Record<string, Field>>;

export type FieldValues<T extends FieldTable> = { [K in keyof T]: number };

/** Reads one little-endian number of `width` bytes at `offset`. */
export function decodeNumber(bytes: Uint8Array, offset: number, width: Field['width']): number {
  let value = 0;
  for (let i = width - 1; i >= 0; i--) value = value * 256 + (bytes[offset + i] ?? 0);
  return value;
}

/** Writes one little-endian number of `width` bytes at `offset`. */
export function encodeNumber(bytes: Uint8Array, offset: number, width: Field['width'], value: number): void {
  let rest = value;
  for (let i = 0; i < width; i++) {
    bytes[offset + i] = rest % 256;
    rest = Math.floor(rest / 256);
  }
}

/** All fields of the table that begin at `at` in `bytes`. */
export function decodeFields<T extends FieldTable>(table: T, bytes: Uint8Array, at = 0): FieldValues<T> {
  const values = {} as Record<string, number>;
  for (const [name, field] of Object.entries(table)) {
    values[name] = decodeNumber(bytes, at + field.offset, field.width);
  }
  return values as FieldValues<T>;
}

/** Puts the given fields into `bytes` from `at` on; fields that are not given stay as they are. */
export function encodeFields<T extends FieldTable>(
  table: T,
  values: Partial<FieldValues<T>>,
  bytes: Uint8Array,
  at = 0,
): void {
  for (const [name, field] of Object.entries(table)) {
    const value = values[name as keyof T];
    if (value !== undefined) encodeNumber(bytes, at + field.offset, field.width, value);
  }
}
