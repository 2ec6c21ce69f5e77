// Of the manifests that were read, those that are signed by somebody who is trusted; of the others a finding each. Only what
// comes out here is parsed, and it is the same bytes that were judged. Loaded only where trust is on.

import { maxSignatureBytes } from '../../bytes/ssh/ssh-signature.ts';
import type { Files } from '../../ports/files.ts';
import { Failure } from '../../words/failure.ts';
import type { Finding } from '../../words/finding.ts';
import type { ManifestText } from '../manifest-text.ts';
import type { Release } from '../schema.ts';
import { productsNamed, releasesInDoubt, speaksOfWithdrawal } from './doubted-releases.ts';
import { judgeSignature } from './judge-signature.ts';
import { loadTrust, type Trust } from './load-trust.ts';

export interface TrustParts {
  /** Of `trusted-signers`, absolute. */
  readonly path: string;
  readonly clock: { now(): number; offsetMinutes(atMs: number): number };
}

export interface RefusedText {
  readonly text: ManifestText;
  readonly finding: Finding;
}

export interface ReadTrusted {
  readonly trust: Trust;
  readonly texts: readonly ManifestText[];
  /** Who signed, by path. */
  readonly signedBy: ReadonlyMap<string, string>;
  readonly refused: readonly RefusedText[];
  /** Which of the releases a refused text may mean to withdraw. */
  readonly doubts: (text: ManifestText, releases: readonly Release[]) => readonly Release[];
  /** Which of the products a refused text seems to be a release of. */
  readonly names: (text: ManifestText, products: Iterable<string>) => readonly string[];
}

type Reading = Pick<Files, 'facts' | 'readBytes'>;

export function readTrusted(files: Reading, all: readonly ManifestText[], parts: TrustParts): ReadTrusted {
  const trust = loadTrust(files, parts.path, parts.clock);
  const nowMs = parts.clock.now();
  const texts: ManifestText[] = [];
  const signedBy = new Map<string, string>();
  const refused: RefusedText[] = [];
  for (const text of all) {
    const { path } = text;
    const content = bytesOf(text);
    const signature = readSignature(files, path);
    const verdict = judgeSignature(trust.signers, { path, content, signature }, nowMs);
    if (verdict.kind === 'signed') {
      texts.push(text);
      signedBy.set(path, verdict.by);
    } else refused.push({ text, finding: withDoubt(verdict.finding, wordsOf(text)) });
  }
  return {
    trust,
    texts,
    signedBy,
    refused,
    doubts: (text, releases) => releasesInDoubt(wordsOf(text), releases),
    names: (text, products) => productsNamed(wordsOf(text), products),
  };
}

/** A refused withdrawal is told as one. */
function withDoubt(finding: Finding, words: string): Finding {
  if (!speaksOfWithdrawal(words)) return finding;
  return {
    ...finding,
    summary: `${finding.summary} It speaks of a withdrawal: releases that it names are stopped until this is settled.`,
  };
}

function bytesOf({ content }: ManifestText): Uint8Array {
  return typeof content === 'string' ? new TextEncoder().encode(content) : content;
}

function wordsOf({ content }: ManifestText): string {
  return typeof content === 'string' ? content : new TextDecoder().decode(content);
}

/** Of the file beside the manifest; undefined: there is none. One that cannot be read is a bad one. */
export function readSignature(files: Reading, manifestPath: string): Uint8Array | undefined {
  const path = `${manifestPath}.sig`;
  try {
    return files.facts(path) === undefined ? undefined : files.readBytes(path, maxSignatureBytes);
  } catch (error) {
    if (error instanceof Failure) return new Uint8Array(0);
    throw error;
  }
}
