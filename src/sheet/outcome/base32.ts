// Base 32 of RFC 4648, without padding: capitals and digits only, so that it fits the denser mode of a QR code and
// lives through messages, keyboards and readers that change everything else.

const letters = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ234567';

export function encodeBase32(bytes: Uint8Array): string {
  let text = '';
  let held = 0;
  let bits = 0;
  for (const byte of bytes) {
    held = ((held << 8) | byte) & 0xffff;
    bits += 8;
    while (bits >= 5) {
      bits -= 5;
      text += letters[(held >>> bits) & 31];
    }
  }
  return bits === 0 ? text : text + letters[(held << (5 - bits)) & 31];
}

/** undefined where a character is none of it, or where bits are left over that are not zero. */
export function decodeBase32(text: string): Uint8Array | undefined {
  const bytes = new Uint8Array(Math.floor((text.length * 5) / 8));
  let held = 0;
  let bits = 0;
  let at = 0;
  for (const character of text) {
    const value = letters.indexOf(character);
    if (value < 0) return undefined;
    held = ((held << 5) | value) & 0xffff;
    bits += 5;
    if (bits >= 8) {
      bits -= 8;
      bytes[at++] = (held >>> bits) & 0xff;
    }
  }
  return bits < 5 && (held & ((1 << bits) - 1)) === 0 ? bytes : undefined;
}
