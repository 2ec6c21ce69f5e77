// SHA-256 of a short text or of bytes that are in memory already. Files and cards are digested in passes, elsewhere.

import { createHash, createHmac, hash } from 'node:crypto';

/** Lower-case hex; a text is taken as UTF-8. */
export function sha256Hex(data: string | Uint8Array): string {
  return hash('sha256', data, 'hex');
}

/** As a content security policy names a script. */
export function sha256Base64(text: string): string {
  return createHash('sha256').update(text).digest('base64');
}

/** Of what comes piece by piece. */
export function startSha256(): { update(data: string | Uint8Array): void; hex(): string } {
  const hash = createHash('sha256');
  return { update: (data) => void hash.update(data), hex: () => hash.digest('hex') };
}

/** Keyed: without the key nobody can try out which text it was. */
export function hmacSha256(key: Uint8Array, text: string): Uint8Array {
  return createHmac('sha256', key).update(text).digest();
}
