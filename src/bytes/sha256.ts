// SHA-256 of a short text or of bytes that are in memory already. Files and cards are digested in passes, elsewhere.

import { createHash } from 'node:crypto';

/** Lower-case hex; a text is taken as UTF-8. */
export function sha256Hex(data: string | Uint8Array): string {
  return createHash('sha256').update(data).digest('hex');
}

/** As a content security policy names a script. */
export function sha256Base64(text: string): string {
  return createHash('sha256').update(text).digest('base64');
}
