// Every kind of digest that a manifest may state, worked out together in one pass over the chunks of a file; of a
// long file on a second thread, while the next chunk is read. node:crypto does the work; where a hardened laptop's
// OpenSSL refuses a kind (md5, as a rule), crypto-js stands in, ten times slower. Knows nothing of which digests are
// proof.

import { createHash } from 'node:crypto';
import { crc32 } from './crc32.ts';

export const digestKinds = ['crc32', 'md5', 'sha1', 'sha224', 'sha256', 'sha384', 'sha512'] as const;
export type DigestKind = (typeof digestKinds)[number];

/** Lower-case hex by kind. */
export type Digests = Readonly<Partial<Record<DigestKind, string>>>;

export const digestHexLength: Readonly<Record<DigestKind, number>> = {
  crc32: 8,
  md5: 32,
  sha1: 40,
  sha224: 56,
  sha256: 64,
  sha384: 96,
  sha512: 128,
};

interface Running {
  /** Done by node:crypto, and so on any thread. */
  readonly native?: boolean;
  update(chunk: Uint8Array): unknown;
  finish(): string;
}

export interface DigestRun {
  /** Takes the next bytes in; keeps no hold of the chunk's memory. */
  update(chunk: Uint8Array): void;
  /** Ends the run: the digests of all bytes taken in. */
  finish(): Digests;
}

type MakeHash = (kind: string) => { update(chunk: Uint8Array): unknown; digest(encoding: 'hex'): string };

/** From here on a second thread saves more than it takes to come up. */
const longBytes = 32 * 2 ** 20;

export interface DigestOptions {
  /** About how long the file is; 0 where nobody knows. */
  readonly expectedBytes?: number;
  /** For tests that play a laptop whose OpenSSL refuses. */
  readonly makeHash?: MakeHash;
}

/** Starts one run over all `kinds`. */
export async function startDigests(
  kinds: Iterable<DigestKind>,
  { expectedBytes = 0, makeHash = createHash }: DigestOptions = {},
): Promise<DigestRun> {
  const running = new Map<DigestKind, Running>();
  for (const kind of new Set(kinds)) {
    running.set(
      kind,
      kind === 'crc32' ? startCrc32() : (startNative(kind, makeHash) ?? (await startSlow(kind))),
    );
  }
  const native = [...running].filter(([, one]) => one.native).map(([kind]) => kind);
  const thread =
    expectedBytes >= longBytes && native.length > 0
      ? (await import('./hash-thread.ts')).startHashThread(native)
      : undefined;
  if (thread !== undefined) for (const kind of native) running.delete(kind);
  const here = [...running.values()];
  return {
    update(chunk) {
      thread?.update(chunk);
      for (const one of here) one.update(chunk);
    },
    finish() {
      const found = new Map<DigestKind, string>();
      thread?.finish().forEach((hex, index) => void found.set(native[index]!, hex));
      for (const [kind, one] of running) found.set(kind, one.finish());
      const digests: Partial<Record<DigestKind, string>> = {};
      for (const kind of digestKinds) {
        const hex = found.get(kind);
        if (hex !== undefined) digests[kind] = hex;
      }
      return digests;
    },
  };
}

/** A file of about so many bytes will be digested before long: what takes time to come up does so meanwhile. */
export async function expectDigests(kinds: Iterable<DigestKind>, expectedBytes: number): Promise<void> {
  if (expectedBytes < longBytes) return;
  const native = [...new Set(kinds)].filter(
    (kind) => kind !== 'crc32' && startNative(kind, createHash) !== undefined,
  );
  if (native.length > 0) (await import('./hash-thread.ts')).wakeHashThread(native);
}

function startCrc32(): Running {
  let value = 0;
  return {
    update(chunk) {
      value = crc32(chunk, value);
    },
    finish: () => value.toString(16).padStart(8, '0'),
  };
}

function startNative(kind: DigestKind, makeHash: MakeHash): Running | undefined {
  try {
    const hash = makeHash(kind);
    return { native: true, update: (chunk) => hash.update(chunk), finish: () => hash.digest('hex') };
  } catch {
    // Refused by policy: the other implementation is asked instead.
    return undefined;
  }
}

async function startSlow(kind: Exclude<DigestKind, 'crc32'>): Promise<Running> {
  const { default: CryptoJs } = await import('crypto-js');
  const hash = CryptoJs.algo[kind.toUpperCase() as 'MD5'].create();
  return {
    update: (chunk) => hash.update(wordsOf(CryptoJs, chunk)),
    finish: () => hash.finalize().toString(CryptoJs.enc.Hex),
  };
}

function wordsOf(CryptoJs: typeof import('crypto-js'), chunk: Uint8Array) {
  const words = new Array<number>(Math.ceil(chunk.length / 4)).fill(0);
  for (let i = 0; i < chunk.length; i++) words[i >>> 2]! |= chunk[i]! << (24 - (i % 4) * 8);
  return CryptoJs.lib.WordArray.create(words, chunk.length);
}

/** All digests of bytes that are at hand as a whole. */
export async function digestsOf(bytes: Uint8Array, kinds: Iterable<DigestKind>): Promise<Digests> {
  const run = await startDigests(kinds);
  run.update(bytes);
  return run.finish();
}
