// From a draft and its place in the chain to the text that is hashed and stored, and back. The hash is SHA-256
// over the RFC 8785 text, `prev` within and `hash` left out: any text can be proved with sha256sum alone.
// Whether the hash agrees is check-chain.ts' question.

import { sha256Hex } from '../bytes/sha256.ts';
import type { EntryPlace, StoredEntry } from '../ports/record-rules.ts';
import type { Entry, EntryDraft } from '../ports/record-store.ts';
import { canonicalText } from './canonical-text.ts';

/** The form of what surrounds a body. A newer form is a newer version of the tool: the store refuses it. */
const entryFormat = 1;

/** `k7mq4rt2-17`: short enough to be read out on the telephone. */
export const entryId = (laptop: string, seq: number) => `${laptop}-${seq}`;

export function sealEntry(draft: EntryDraft, place: EntryPlace): StoredEntry {
  const { kind, kindVersion, claimedAt, typedBy, doneBy } = draft;
  const { laptop, seq, prev, writtenAt } = place;
  const bodyText = canonicalText(draft.body);
  // The names in their order (RFC 8785, section 3.2.3): what surrounds a body is the same in every entry.
  const text = `{"body":${bodyText},"claimedAt":${canonicalText(claimedAt)},"doneBy":${canonicalText(doneBy)},"format":${entryFormat},"kind":"${kind}","kindVersion":${kindVersion},"laptop":"${laptop}","prev":"${prev}","seq":${seq},"typedBy":${canonicalText(typedBy)},"writtenAt":"${writtenAt}"}`;
  if (!isPlain(kind) || !isPlain(laptop)) throw new TypeError(`not the form of an entry: ${text}`);
  const body: unknown = JSON.parse(bodyText);
  const value = { format: entryFormat, kind, kindVersion, claimedAt, typedBy, doneBy, ...place, body };
  const entry = entryFrom(value, sha256Hex(text));
  if (entry === undefined) throw new TypeError(`not the form of an entry: ${text}`);
  return storedEntry(entry, text);
}

/** The columns of a store, from the entry and its text. */
export function storedEntry(entry: Entry, text: string): StoredEntry {
  const { laptop, seq, kind, claimedMs, writtenMs, hash, body } = entry;
  const serial = typeof body.serial === 'string' ? body.serial : null;
  return { laptop, seq, kind, serial, claimedMs, writtenMs, hash, text };
}

/** undefined where the text is no entry. */
export function openEntry({ text, hash }: Pick<StoredEntry, 'text' | 'hash'>): Entry | undefined {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return undefined;
  }
  return entryFrom(value, hash);
}

/** The same of a text that was parsed. */
export function entryFrom(value: unknown, hash: string): Entry | undefined {
  if (!isRecord(value) || value.format !== entryFormat) return undefined;
  const { kind, kindVersion, laptop, seq, prev, claimedAt, writtenAt, typedBy, doneBy, body } = value;
  if (typeof kind !== 'string' || !isCount(kindVersion) || !isRecord(body)) return undefined;
  if (typeof laptop !== 'string' || !isCount(seq) || !isHash(prev)) return undefined;
  if (typeof typedBy !== 'string' || typeof doneBy !== 'string') return undefined;
  const claimedMs = claimedInstant(claimedAt);
  const writtenMs = writtenInstant(writtenAt);
  if (claimedMs === undefined || writtenMs === undefined) return undefined;
  return {
    kind,
    kindVersion,
    claimedAt: claimedAt as string,
    typedBy,
    doneBy,
    body: body as Entry['body'],
    id: entryId(laptop, seq),
    laptop,
    seq,
    prev,
    hash,
    writtenAt: writtenAt as string,
    claimedMs,
    writtenMs,
  };
}

/** Needs no escape in JSON. */
function isPlain(text: string): boolean {
  return /^[\w .-]*$/.test(text);
}

const hashLength = 64;

/** Lower-case hex. By letters: a regular expression takes longer than the digest itself. */
function isHash(value: unknown): value is string {
  if (typeof value !== 'string' || value.length !== hashLength) return false;
  for (let at = 0; at < hashLength; at++) {
    const letter = value.charCodeAt(at);
    if (!((letter >= 0x30 && letter <= 0x39) || (letter >= 0x61 && letter <= 0x66))) return false;
  }
  return true;
}

const timeForm = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}[+-]\d{2}:\d{2}$/;

/** Milliseconds UTC. Many entries in a row are of one instant: what was read last is remembered. */
function readsInstants(): (value: unknown) => number | undefined {
  let last: unknown;
  let lastMs: number | undefined;
  return (value) => {
    if (value === last) return lastMs;
    last = value;
    const atMs = typeof value === 'string' && timeForm.test(value) ? Date.parse(value) : Number.NaN;
    lastMs = Number.isNaN(atMs) ? undefined : atMs;
    return lastMs;
  };
}

const claimedInstant = readsInstants();
const writtenInstant = readsInstants();

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isCount(value: unknown): value is number {
  return typeof value === 'number' && Number.isSafeInteger(value) && value > 0;
}
