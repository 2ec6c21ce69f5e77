// Keys and signatures made and judged by OpenSSH's own ssh-keygen, in a folder that the caller removes.

import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';

export const keyKinds = {
  ed25519: ['-t', 'ed25519'],
  rsa: ['-t', 'rsa', '-b', '2048'],
  nistp256: ['-t', 'ecdsa', '-b', '256'],
  nistp384: ['-t', 'ecdsa', '-b', '384'],
  nistp521: ['-t', 'ecdsa', '-b', '521'],
} as const;
export type KeyKind = keyof typeof keyKinds;

function keygen(args: readonly string[], input?: Uint8Array) {
  const { status, stdout, stderr } = spawnSync('ssh-keygen', args, { input: input ?? '' });
  return { status, out: `${stdout}`, err: `${stderr}` };
}

/** The path of the private key; `.pub` lies beside it. */
export function makeKey(folder: string, kind: KeyKind, name: string = kind, passphrase = ''): string {
  const path = join(folder, name);
  const { status, err } = keygen([
    '-q',
    ...keyKinds[kind],
    '-N',
    passphrase,
    '-C',
    `key of ${name}`,
    '-f',
    path,
  ]);
  if (status !== 0) throw new Error(err);
  return path;
}

/** `SHA256:…` out of what `ssh-keygen -l` prints. */
export function fingerprintOf(key: string): string {
  return keygen(['-l', '-f', `${key}.pub`]).out.split(' ')[1] ?? '';
}

/** Signs the file as a lead would by hand; the signature is FILE.sig. */
export function signByKeygen(
  key: string,
  file: string,
  { namespace = 'slotproof-manifest', hash = 'sha512' } = {},
): void {
  spawnSync('rm', ['-f', `${file}.sig`]);
  const { status, err } = keygen(['-Y', 'sign', '-O', `hashalg=${hash}`, '-n', namespace, '-f', key, file]);
  if (status !== 0) throw new Error(err);
}

/** Whether the signature holds, whoever made it. */
export function holdsForKeygen(message: Uint8Array, sig: string): boolean {
  return keygen(['-Y', 'check-novalidate', '-n', 'slotproof-manifest', '-s', sig], message).status === 0;
}

/** Whether ssh-keygen takes it as the principal's, by this list of allowed signers. */
export function verifiedByKeygen(
  folder: string,
  {
    allowed,
    principal,
    message,
    sig,
    at,
  }: {
    readonly allowed: string;
    readonly principal: string;
    readonly message: Uint8Array;
    readonly sig: string;
    /** YYYYMMDDHHMMSSZ. */
    readonly at?: string;
  },
): boolean {
  const list = join(folder, 'allowed');
  writeFileSync(list, allowed);
  const time = at === undefined ? [] : ['-O', `verify-time=${at}`];
  const args = ['-Y', 'verify', ...time, '-n', 'slotproof-manifest', '-f', list, '-I', principal, '-s', sig];
  return keygen(args, message).status === 0;
}
