// `trusted-signers` as lines that a person's command adds or takes away: every other line stays as it is, to the byte, comments
// and lines that cannot be read included. Never removes the file, since that would switch trust off.

import { keyFingerprint, keyText, type SshPublicKey } from '../../bytes/ssh/public-key.ts';
import { type AllowedSigner, maxSignersBytes } from '../../manifest/trust/allowed-signers.ts';
import { isTrustOn } from '../../manifest/trust/is-trust-on.ts';
import { manifestNamespace } from '../../manifest/trust/judge-signature.ts';
import { loadTrust, type Trust } from '../../manifest/trust/load-trust.ts';
import { Failure } from '../../words/failure.ts';
import { formatLocalTime } from '../../words/local-time.ts';
import { printable } from '../../words/printable.ts';
import type { Context } from '../context.ts';

type World = Pick<Context, 'files' | 'workspace' | 'clock'>;

/** undefined: trust is off. */
export function trustHere({ files, workspace, clock }: World): Trust | undefined {
  return isTrustOn(files, workspace.trustedSigners)
    ? loadTrust(files, workspace.trustedSigners, clock)
    : undefined;
}

/** `name`: fit to be a principal, see `requirePrincipal`. */
export function signerLine(name: string, key: SshPublicKey, comment: string): string {
  const principal = /\s/.test(name) ? `"${name}"` : name;
  const words = comment.replace(/[^\x20-\x7e]/g, '').trim();
  return `${principal} namespaces="${manifestNamespace}" ${keyText(key)}${words === '' ? '' : ` ${words}`}`;
}

/** A name that stands for itself in the file: no list, no pattern, no quotation. */
export function requirePrincipal(name: string): string {
  if (/^[\p{L}\p{N}][\p{L}\p{M}\p{N}_.@+' -]*$/u.test(name) && name === name.trim()) return name;
  throw new Failure({
    code: 'text-unfit',
    exit: 2,
    summary: 'This name cannot stand in trusted-signers.',
    seen: printable(name, 80),
    expected: 'letters, digits, blanks and . _ @ + - within, a letter or digit first',
    where: '--name',
    next: 'Give another name.',
  });
}

/** What is there, with one more line. Whole or not at all. */
export function addSignerLine({ files, workspace }: World, line: string): void {
  const path = workspace.trustedSigners;
  const before = files.facts(path) === undefined ? '' : readLines({ files }, path);
  files.write(path, `${before}${before === '' || before.endsWith('\n') ? '' : '\n'}${line}\n`);
}

export function removeSignerLines({ files, workspace }: World, lines: ReadonlySet<number>): void {
  const path = workspace.trustedSigners;
  const kept = readLines({ files }, path)
    .split('\n')
    .filter((_, index) => !lines.has(index + 1));
  files.write(path, kept.join('\n'));
}

/** Failure where it is no text: what cannot be read is not written over. */
function readLines({ files }: Pick<Context, 'files'>, path: string): string {
  const bytes = files.readBytes(path, maxSignersBytes);
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw new Failure({
      code: 'trusted-signers-bad',
      exit: 2,
      summary: 'trusted-signers is not text in UTF-8, and is left as it is.',
      where: path,
      next: 'Put back the file as it was, or remove it and trust each signer anew.',
    });
  }
}

export function signerJson(signer: AllowedSigner): Record<string, unknown> {
  const { line, principals, key, namespaces, validAfterMs, validBeforeMs, comment } = signer;
  const time = (atMs: number | undefined) => (atMs === undefined ? null : new Date(atMs).toISOString());
  return {
    name: principals,
    fingerprint: keyFingerprint(key),
    type: key.type,
    namespaces: namespaces ?? null,
    validAfter: time(validAfterMs),
    validBefore: time(validBeforeMs),
    comment,
    line,
  };
}

export function signerText(signer: AllowedSigner, zone: Context['clock']): string {
  const { principals, key, validAfterMs, validBeforeMs } = signer;
  const day = (atMs: number) => formatLocalTime(atMs, zone).slice(0, 16).replace('T', ' ');
  const from = validAfterMs === undefined ? '' : `, from ${day(validAfterMs)}`;
  const to = validBeforeMs === undefined ? '' : `, until ${day(validBeforeMs)}`;
  return `${printable(principals, 200)}${from}${to}\n  ${key.type} ${keyFingerprint(key)}`;
}
