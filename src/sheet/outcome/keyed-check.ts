// The keyed check of an outcome: HMAC (RFC 2104) with SHA-256, worked out by crypto-js, since a phone that opens a
// page from a file has no crypto.subtle. One code for both ends, so that they cannot differ.
//
// What it protects from: an outcome made up by somebody who never had this sheet's page, one changed on its way,
// one taken from another sheet. What it does not: whoever holds the page holds the key, and can make any outcome of
// this sheet; it says from which page an outcome came, not that it is true.

import hex from 'crypto-js/enc-hex.js';
import hmacSha256 from 'crypto-js/hmac-sha256.js';
import sha256 from 'crypto-js/sha256.js';

/** Each form of an outcome has a purpose of its own: a check made for one says nothing in another. */
export type CheckPurpose = 'code' | 'qr' | 'file';

/** 32 bytes. The text counts as UTF-8. */
export function keyedCheck(key: string, purpose: CheckPurpose, text: string): Uint8Array {
  return bytesOf(hmacSha256(`slotproof outcome ${purpose} 1\n${text}`, hex.parse(key)).toString(hex));
}

/** Without a key: names a sheet in a few characters. */
export function sheetDigest(sheet: string): Uint8Array {
  return bytesOf(sha256(`slotproof sheet\n${sheet}`).toString(hex));
}

export function hexOf(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

function bytesOf(digits: string): Uint8Array {
  return Uint8Array.from(digits.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
}

/** Looks at all of it, whatever differs. */
export function sameBytes(a: Uint8Array, b: Uint8Array): boolean {
  let differs = a.length ^ b.length;
  for (const [i, byte] of a.entries()) differs |= byte ^ (b[i] ?? 0);
  return differs === 0;
}
