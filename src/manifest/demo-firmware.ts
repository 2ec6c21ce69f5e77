// The files that the made-up maker Tarnholt hands out, for the demonstration and the tests: bytes worked out
// from product and version, so that nothing has to be shipped. They mean nothing, run nowhere and say so.

import { crc32 } from '../bytes/crc32.ts';
import { encodeStoredZip } from '../bytes/stored-zip.ts';
import type { Release } from './schema.ts';

/** The image: a line that says what it is not, then bytes without meaning, `release.image.bytes` in all. */
export function demoImage(release: Release): Uint8Array {
  const seed = `${release.product}@${release.version}`;
  const bytes = new Uint8Array(release.image.bytes);
  // Xorshift of 32 bits (Marsaglia 2003): even, quick, and the same everywhere.
  let state = crc32(new TextEncoder().encode(seed)) | 1;
  for (let i = 0; i < bytes.length; i++) {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    bytes[i] = state & 0xff;
  }
  const line = `DEMONSTRATION FILE OF ${seed}. NOT FIRMWARE. IT MEANS NOTHING AND RUNS NOWHERE.\r\n\u001a`;
  bytes.set(new TextEncoder().encode(line).subarray(0, bytes.length));
  return bytes;
}

/** What the maker hands out: a zip where the manifest has a `download`, else the image itself. */
export function demoDownload(release: Release): { readonly name: string; readonly bytes: Uint8Array } {
  const image = demoImage(release);
  if (release.download === undefined) return { name: release.image.name, bytes: image };
  const note = `Release ${release.version} of ${release.product}, issued ${release.issued}.\r\nA demonstration; the firmware file in it means nothing.\r\n`;
  const member = release.download.member ?? release.image.name;
  const bytes = encodeStoredZip(
    [
      { name: member.replace(/[^/]*$/, 'README.TXT'), bytes: new TextEncoder().encode(note) },
      { name: member, bytes: image },
    ],
    release.issued,
  );
  return { name: release.download.name, bytes };
}
