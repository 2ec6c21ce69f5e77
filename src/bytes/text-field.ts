// Fixed-length text in on-disk structures: one byte a character (Latin-1), padded with blanks. Does not trim on
// decoding and does not judge what the text says.

export interface TextField {
  readonly offset: number;
  readonly length: number;
}

export function decodeText(bytes: Uint8Array, field: TextField, at = 0): string {
  let text = '';
  for (let i = 0; i < field.length; i++) text += String.fromCharCode(bytes[at + field.offset + i] ?? 0);
  return text;
}

/** Cuts what is too long; characters beyond Latin-1 become `?`. */
export function encodeText(bytes: Uint8Array, field: TextField, text: string, at = 0): void {
  for (let i = 0; i < field.length; i++) {
    const code = i < text.length ? text.charCodeAt(i) : 0x20;
    bytes[at + field.offset + i] = code > 0xff ? 0x3f : code;
  }
}
