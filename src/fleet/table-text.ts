// The text of a table, whatever a spreadsheet saved it as: UTF-8 or UTF-16 by its mark or by its look, or what was
// declared. Letters are never guessed: bytes that are no UTF-8 and were not declared are refused.

import { Failure } from '../words/failure.ts';
import { firstNotUtf8, type NotUtf8 } from './not-utf8.ts';
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

/** The text, piece by piece, with one kind of line end, so that lines are counted as an editor counts them; no mark. */
export function* decodeTableText(
  chunks: Iterable<Uint8Array>,
  path: string,
  declared?: TableEncoding,
): Generator<string> {
  let decoder: InstanceType<typeof TextDecoder> | undefined;
  /** A carriage return at the end of a piece: the line feed may be in the next. */
  let held = '';
  let lines = 0;
  /** The last bytes of the piece before: a letter may begin there. */
  let tail = new Uint8Array();
  let isUtf8 = false;
  const plain = (text: string, isLast: boolean): string => {
    if (text.includes('\0')) throw notText(path);
    const whole = held + text;
    held = !isLast && whole.endsWith('\r') ? '\r' : '';
    const told = whole.slice(0, whole.length - held.length).replace(/\r\n?/g, '\n');
    lines += newlinesIn(told);
    return told;
  };
  const decode = (bytes: Uint8Array | undefined): string => {
    try {
      return decoder?.decode(bytes, { stream: bytes !== undefined }) ?? '';
    } catch {
      const pending = held !== '' && bytes?.[0] !== 0x0a ? 1 : 0;
      const at = isUtf8 ? firstNotUtf8(tail, bytes ?? new Uint8Array()) : undefined;
      throw otherEncoding(at === undefined ? path : `${path}:${lines + pending + at.line + 1}`, declared, at);
    }
  };
  for (const chunk of chunks) {
    if (decoder === undefined) {
      const encoding = declared ?? encodingOf(chunk);
      isUtf8 = encoding === 'utf-8';
      decoder = new TextDecoder(encoding, { fatal: true });
    }
    yield plain(decode(chunk), false);
    tail = chunk.slice(-3);
  }
  yield plain(decode(undefined), true);
}

function newlinesIn(text: string): number {
  let count = 0;
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) count += 1;
  return count;
}

function otherEncoding(where: string, declared: TableEncoding | undefined, at: NotUtf8 | undefined): Failure {
  return new Failure({
    code: 'table-encoding',
    exit: 2,
    summary:
      declared === undefined
        ? 'The table is not in UTF-8: letters with accents would be lost.'
        : `The table is not in ${declared}.`,
    ...(at === undefined ? {} : { seen: at.seen }),
    where,
    next: 'Save it again as "CSV UTF-8"; or declare what it is: --encoding windows-1252.',
  });
}

function notText(path: string): Failure {
  return refused(
    'table-not-text',
    'This is not a table of text.',
    path,
    'Save the spreadsheet as "CSV UTF-8" and give that file.',
  );
}
