// The text of a table, whatever a spreadsheet saved it as: UTF-8 or UTF-16 by its mark or by its look, or what was
// declared. Letters are never guessed: bytes that are no UTF-8 and were not declared are refused.

import { Failure } from '../words/failure.ts';
import type { TableEncoding } from './table-encodings.ts';

function refused(code: string, summary: string, where: string, next: string): Failure {
  return new Failure({ code, exit: 2, summary, where, next });
}

/** The mark at the beginning, else the zeros that plain letters leave in every second byte of UTF-16. */
function encodingOf(bytes: Uint8Array): TableEncoding {
  const [first, second] = bytes;
  if (first === 0xff && second === 0xfe) return 'utf-16le';
  if (first === 0xfe && second === 0xff) return 'utf-16be';
  const looked = Math.min(bytes.length - (bytes.length % 2), 4096);
  let low = 0;
  let high = 0;
  for (let at = 0; at < looked; at += 2) {
    if (bytes[at] === 0) high++;
    if (bytes[at + 1] === 0) low++;
  }
  // A header is plain letters: nearly all of its odd or even bytes are zero, and none of the others.
  if (low * 2 > looked * 0.8 && high === 0) return 'utf-16le';
  if (high * 2 > looked * 0.8 && low === 0) return 'utf-16be';
  return 'utf-8';
}

/** One kind of line end, so that lines are counted as an editor counts them; without a mark at the beginning. */
export function decodeTableText(bytes: Uint8Array, path: string, declared?: TableEncoding): string {
  const encoding = declared ?? encodingOf(bytes);
  let text: string;
  try {
    text = new TextDecoder(encoding, { fatal: true }).decode(bytes);
  } catch {
    throw refused(
      'table-encoding',
      declared === undefined
        ? 'The table is not in UTF-8: letters with accents would be lost.'
        : `The table is not in ${declared}.`,
      path,
      'Save it again as "CSV UTF-8"; or declare what it is: --encoding windows-1252.',
    );
  }
  if (text.includes('\0')) {
    throw refused(
      'table-not-text',
      'This is not a table of text.',
      path,
      'Save the spreadsheet as "CSV UTF-8" and give that file.',
    );
  }
  return text.replace(/\r\n?/g, '\n');
}
