// What a unit wrote on its card about the update, read by the pattern of its product's manifest. The file may be
// old, from another card, or made up: everything in it is checked, and what does not fit is refused with the reason.
// Says nothing of whether the unit is registered, and counts nothing as read from the unit.

import { RE2JS } from 're2js';
import type { Product } from '../manifest/schema.ts';
import { isVersion } from '../manifest/versions.ts';
import { printable } from '../words/printable.ts';
import { readSerial } from './serial.ts';

/** A unit writes a line or two. With the bound on the pattern this keeps any search well below a second. */
export const maxResultBytes = 16 * 1024;

export interface UnitResult {
  readonly serial: string;
  readonly outcome: 'updated' | 'failed';
  /** As the unit wrote it. */
  readonly status: string;
  /** What it says runs afterwards; undefined where the file says nothing of it. */
  readonly version: string | undefined;
}

export type ResultReading =
  | { readonly ok: true; readonly result: UnitResult }
  | { readonly ok: false; readonly code: string; readonly summary: string };

const refuse = (code: string, summary: string): ResultReading => ({ ok: false, code, summary });

export function readResultFile(bytes: Uint8Array, product: Product): ResultReading {
  const { resultFile } = product;
  if (resultFile === undefined) return refuse('result-unknown', `${product.id} leaves no result file.`);
  if (bytes.length > maxResultBytes) {
    return refuse(
      'result-too-large',
      `A result file has at most ${maxResultBytes} bytes, and this has more.`,
    );
  }
  const matcher = RE2JS.compile(resultFile.pattern).matcher(textOf(bytes));
  if (!matcher.find()) {
    return refuse(
      'result-form',
      `This is not what a ${product.id} writes: the manifest's pattern is not in it.`,
    );
  }
  const said = {
    serial: matcher.group('serial') ?? '',
    status: matcher.group('status') ?? '',
    version: 'version' in matcher.namedGroups ? (matcher.group('version') ?? undefined) : undefined,
  };
  if (matcher.find()) {
    return refuse('result-several', 'There are several results in it, and no telling which one counts.');
  }
  return judge(said, product, resultFile);
}

function judge(
  { serial, status, version }: Pick<UnitResult, 'serial' | 'status' | 'version'>,
  product: Product,
  words: NonNullable<Product['resultFile']>,
): ResultReading {
  const reading = readSerial(serial, [product]);
  if (!reading.ok) return refuse(reading.code, `${reading.summary}.`);
  const outcome = words.updated.includes(status)
    ? 'updated'
    : words.failed.includes(status)
      ? 'failed'
      : undefined;
  if (outcome === undefined) {
    const known = [...words.updated, ...words.failed].map((word) => printable(word, 40)).join(', ');
    return refuse('status-unknown', `"${printable(status, 40)}" is no status that is known: ${known}.`);
  }
  if (version !== undefined && !isVersion(product.versions, version)) {
    return refuse('version-form', `"${printable(version, 60)}" is no version of ${product.id}.`);
  }
  return { ok: true, result: { serial: reading.serial, outcome, status, version } };
}

/** Zeros, blanks of erased memory and the old end-of-text mark, with which units fill the end of a file. */
const padding = new Set([0x00, 0xff, 0x1a]);

function textOf(bytes: Uint8Array): string {
  let end = bytes.length;
  while (end > 0 && padding.has(bytes[end - 1]!)) end -= 1;
  const own = bytes.subarray(0, end);
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(own);
  } catch {
    text = new TextDecoder('latin1').decode(own);
  }
  return text.replace(/\r\n?/g, '\n');
}
