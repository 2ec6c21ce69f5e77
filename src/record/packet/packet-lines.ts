// The lines of a packet: JSON, one a line, in one fixed order and spelling each, so that a packet has only one form.
//
//   {"packet":"slotproof record","format":1, who packed it, when, what it holds about people}     one
//   {"manifest":NAME,"modified":TIME,"sha256":HEX,"text":TEXT,"signature":TEXT}                    any number
//   {"hash":HEX,"entry":{ the text that was hashed, to the byte }}                                 chains, from their first
//   {"mark":{"laptop":ID,"seq":N,"hash":HEX}}                                                      one a chain: its end
//   {"end":{"manifests":N,"marks":N,"entries":N,"sha256":HEX of all bytes before this line}}       one
//
// An entry's text can be proved with sha256sum alone: it is the line from its 84th byte to the last but one.

import type { SealedEntry } from '../../ports/record-rules.ts';
import type { Mark } from '../../ports/record-store.ts';

export const packetFormat = 1;

export interface PacketHeader {
  /** ISO 8601 with the packer's offset. */
  readonly packedAt: string;
  /** null: not said. */
  readonly packedBy: string | null;
  /** Whose packet it is: the chain that this laptop appends to. */
  readonly laptop: string;
  /** `replaced`: chains made anew with marks in place of names; they stand for the real ones and are not they. */
  readonly names: 'kept' | 'replaced';
  /** What it holds about people, in words, for whoever opens it. */
  readonly people: string;
  /** When the newest of its manifests was written; null where it holds none. */
  readonly manifestNews: string | null;
}

export interface PacketManifest {
  /** Path below `manifests/`, parts joined by `/`. */
  readonly manifest: string;
  readonly modified: string;
  readonly sha256: string;
  readonly text: string;
  /** Content of `NAME.sig`; null where there is none. */
  readonly signature: string | null;
}

export interface PacketEnd {
  readonly manifests: number;
  readonly marks: number;
  readonly entries: number;
  /** Of all bytes before this line. */
  readonly sha256: string;
}

export function encodeHeader(header: PacketHeader): string {
  const { packedAt, packedBy, laptop, names, people, manifestNews } = header;
  return JSON.stringify({
    packet: 'slotproof record',
    format: packetFormat,
    packedAt,
    packedBy,
    laptop,
    names,
    people,
    manifestNews,
  });
}

export function encodeManifest({ manifest, modified, sha256, text, signature }: PacketManifest): string {
  return JSON.stringify({ manifest, modified, sha256, text, signature });
}

export function encodeMark({ laptop, seq, hash }: Mark): string {
  return JSON.stringify({ mark: { laptop, seq, hash } });
}

export function encodeEntry({ hash, text }: SealedEntry): string {
  return `{"hash":"${hash}","entry":${text}}`;
}

export function encodeEnd({ manifests, marks, entries, sha256 }: PacketEnd): string {
  return JSON.stringify({ end: { manifests, marks, entries, sha256 } });
}

export type PacketLine =
  | { readonly kind: 'header'; readonly header: PacketHeader }
  | { readonly kind: 'newer'; readonly format: number }
  | { readonly kind: 'manifest'; readonly manifest: PacketManifest }
  | { readonly kind: 'mark'; readonly mark: Mark }
  | { readonly kind: 'entry'; readonly sealed: SealedEntry }
  | { readonly kind: 'end'; readonly end: PacketEnd };

const entryStart = '{"hash":"';
const entryMiddle = '","entry":{';
const textAt = entryStart.length + 64 + entryMiddle.length - 1;

/** undefined: none of these, or not in the one form that it has. What an entry's text and hash say is not looked at. */
export function decodeLine(line: string): PacketLine | undefined {
  if (line.startsWith(entryStart)) return decodeEntry(line);
  let value: unknown;
  try {
    value = JSON.parse(line);
  } catch {
    return undefined;
  }
  if (!isObject(value)) return undefined;
  const decoded = decodeObject(value);
  return decoded === undefined || decoded.kind === 'newer' || encodeLine(decoded) === line
    ? decoded
    : undefined;
}

function decodeEntry(line: string): PacketLine | undefined {
  const hash = line.slice(entryStart.length, entryStart.length + 64);
  if (!line.startsWith(entryMiddle, entryStart.length + 64) || !line.endsWith('}}')) return undefined;
  return { kind: 'entry', sealed: { hash, text: line.slice(textAt, -1) } };
}

function encodeLine(line: Exclude<PacketLine, { kind: 'newer' }>): string {
  switch (line.kind) {
    case 'header':
      return encodeHeader(line.header);
    case 'manifest':
      return encodeManifest(line.manifest);
    case 'mark':
      return encodeMark(line.mark);
    case 'entry':
      return encodeEntry(line.sealed);
    case 'end':
      return encodeEnd(line.end);
  }
}

function decodeObject(value: Record<string, unknown>): PacketLine | undefined {
  if (value.packet === 'slotproof record') return decodeHeader(value);
  if (value.manifest !== undefined) return decodeManifest(value);
  if (isObject(value.mark)) return decodeMark(value.mark);
  return isObject(value.end) ? decodeEnd(value.end) : undefined;
}

function decodeHeader(value: Record<string, unknown>): PacketLine | undefined {
  const { format, packedAt, packedBy, laptop, names, people, manifestNews } = value;
  if (!isCount(format)) return undefined;
  if (format > packetFormat) return { kind: 'newer', format };
  if (!isTime(packedAt) || !isLaptop(laptop) || !isText(people, 2000)) return undefined;
  if (packedBy !== null && !isText(packedBy, 80)) return undefined;
  if (manifestNews !== null && !isTime(manifestNews)) return undefined;
  if (names !== 'kept' && names !== 'replaced') return undefined;
  return { kind: 'header', header: { packedAt, packedBy, laptop, names, people, manifestNews } };
}

function decodeManifest(value: Record<string, unknown>): PacketLine | undefined {
  const { manifest, modified, sha256, text, signature } = value;
  if (!isText(manifest, 500) || !isTime(modified) || !isHash(sha256) || typeof text !== 'string')
    return undefined;
  if (signature !== null && !isText(signature, maxSignatureCharacters)) return undefined;
  return { kind: 'manifest', manifest: { manifest, modified, sha256, text, signature } };
}

/** A signature of the largest keys in use is a twentieth of that. */
export const maxSignatureCharacters = 64 * 1024;

function decodeMark({ laptop, seq, hash }: Record<string, unknown>): PacketLine | undefined {
  if (!isLaptop(laptop) || !isCount(seq) || !isHash(hash)) return undefined;
  return { kind: 'mark', mark: { laptop, seq, hash } };
}

function decodeEnd({ manifests, marks, entries, sha256 }: Record<string, unknown>): PacketLine | undefined {
  const counts = [manifests, marks, entries].every((count) => count === 0 || isCount(count));
  if (!counts || !isHash(sha256)) return undefined;
  return {
    kind: 'end',
    end: { manifests: Number(manifests), marks: Number(marks), entries: Number(entries), sha256 },
  };
}

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
const isCount = (value: unknown): value is number =>
  typeof value === 'number' && Number.isSafeInteger(value) && value > 0;
const isText = (value: unknown, maxLength: number): value is string =>
  typeof value === 'string' && value !== '' && value.length <= maxLength;
const isHash = (value: unknown): value is string => typeof value === 'string' && /^[0-9a-f]{64}$/.test(value);
const isLaptop = (value: unknown): value is string =>
  typeof value === 'string' && /^[a-z0-9]{1,32}$/.test(value);
const isTime = (value: unknown): value is string =>
  typeof value === 'string' &&
  /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}[+-]\d{2}:\d{2}$/.test(value) &&
  !Number.isNaN(Date.parse(value));
