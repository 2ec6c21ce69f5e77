// The 11 bytes of a short name (Microsoft FAT specification, section 6.1): eight and three characters, padded
// with blanks, upper case, in the code page of the machine that wrote them. Taken as code page 437; makes no
// aliases (`FIRMWA~1.BIN`): a name that does not fit has none here.

export const shortNameBytes = 11;
/** Byte 12 of the entry: base or extension is shown in lower case without a long name. */
export const caseBitBase = 0x08;
export const caseBitExtension = 0x10;
/** A first byte 0xE5 would mean "deleted", so the character is stored as this. */
export const kanjiStandIn = 0x05;

const upperHalf437 =
  'ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥₧ƒáíóúñÑªº¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐└┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u00a0';
const forbidden = '"*+,./:;<=>?[\\]|';

function characterOf(byte: number): string {
  return byte < 0x80 ? String.fromCharCode(byte) : (upperHalf437[byte - 0x80] as string);
}

function byteOf(character: string): number | undefined {
  const code = character.charCodeAt(0);
  if (code < 0x80) return code;
  const index = upperHalf437.indexOf(character);
  return index < 0 ? undefined : 0x80 + index;
}

function part(bytes: Uint8Array, from: number, to: number, lower: boolean): string {
  let end = to;
  while (end > from && bytes[end - 1] === 0x20) end--;
  let text = '';
  for (let i = from; i < end; i++) {
    const byte = bytes[i] ?? 0;
    const character = characterOf(i === 0 && byte === kanjiStandIn ? 0xe5 : byte);
    text += lower ? character.toLowerCase() : character;
  }
  return text;
}

/** `NAME.EXT`; with the case bits of the entry also `name.ext`. Decodes bad names too: see `isSoundShortName`. */
export function decodeShortName(bytes: Uint8Array, at = 0, caseBits = 0): string {
  const eleven = bytes.subarray(at, at + shortNameBytes);
  const base = part(eleven, 0, 8, (caseBits & caseBitBase) !== 0);
  const extension = part(eleven, 8, 11, (caseBits & caseBitExtension) !== 0);
  return extension === '' ? base : `${base}.${extension}`;
}

/** A volume label uses all eleven bytes as one text. */
export function decodeLabel(bytes: Uint8Array, at = 0): string {
  return part(bytes.subarray(at, at + shortNameBytes), 0, shortNameBytes, false);
}

function isSoundByte(byte: number): boolean {
  if (byte < 0x21 || byte === 0x7f) return false;
  if (byte >= 0x61 && byte <= 0x7a) return false;
  return !forbidden.includes(String.fromCharCode(byte));
}

/** No control characters, lower-case letters or reserved characters, no blank before another character. */
export function isSoundShortName(bytes: Uint8Array, at = 0): boolean {
  for (const [from, to] of [
    [0, 8],
    [8, 11],
  ] as const) {
    let blank = false;
    for (let i = from; i < to; i++) {
      const byte = bytes[at + i] ?? 0;
      if (byte === 0x20) {
        if (i === 0) return false;
        blank = true;
      } else if (blank || !(isSoundByte(byte) || (i === 0 && byte === kanjiStandIn))) return false;
    }
  }
  return true;
}

/** The 11 bytes of a plain upper-case 8.3 name; undefined for any other (long, lower case, reserved characters). */
export function encodeShortName(name: string): Uint8Array | undefined {
  const dot = name.lastIndexOf('.');
  const base = dot < 0 ? name : name.slice(0, dot);
  const extension = dot < 0 ? '' : name.slice(dot + 1);
  if (base.length < 1 || base.length > 8 || extension.length > 3 || (dot >= 0 && extension === ''))
    return undefined;
  const bytes = new Uint8Array(shortNameBytes).fill(0x20);
  for (const [text, from] of [
    [base, 0],
    [extension, 8],
  ] as const) {
    for (let i = 0; i < text.length; i++) {
      const byte = byteOf(text[i] as string);
      if (byte === undefined || !isSoundByte(byte)) return undefined;
      bytes[from + i] = from + i === 0 && byte === 0xe5 ? kanjiStandIn : byte;
    }
  }
  return bytes;
}

/** What long-name entries carry to show which short entry they belong to (section 7.2). */
export function shortNameChecksum(bytes: Uint8Array, at = 0): number {
  let sum = 0;
  for (let i = 0; i < shortNameBytes; i++)
    sum = (((sum & 1) << 7) + (sum >> 1) + (bytes[at + i] ?? 0)) & 0xff;
  return sum;
}
