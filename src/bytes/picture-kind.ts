// Which kind of picture or scan some bytes begin as, by the signatures that their formats give them: JPEG, PNG, GIF, TIFF,
// WebP, the HEIF family (ISO/IEC 14496-12, box `ftyp`) and PDF. Does not look whether the rest is one.

export type PictureKind = 'jpeg' | 'png' | 'gif' | 'tiff' | 'webp' | 'heif' | 'pdf';

const signatures: readonly (readonly [PictureKind, number, string])[] = [
  ['jpeg', 0, '\xff\xd8\xff'],
  ['png', 0, '\x89PNG\r\n\x1a\n'],
  ['gif', 0, 'GIF8'],
  ['tiff', 0, 'II*\0'],
  ['tiff', 0, 'MM\0*'],
  ['webp', 8, 'WEBP'],
  ['pdf', 0, '%PDF-'],
];

const heifBrands = ['heic', 'heix', 'heim', 'heis', 'hevc', 'hevx', 'mif1', 'msf1', 'avif', 'avis'];

/** undefined: none of these. */
export function pictureKind(bytes: Uint8Array): PictureKind | undefined {
  const at = (start: number, length: number) => String.fromCharCode(...bytes.subarray(start, start + length));
  if (at(4, 4) === 'ftyp' && heifBrands.includes(at(8, 4))) return 'heif';
  return signatures.find(([, start, text]) => at(start, text.length) === text)?.[0];
}
