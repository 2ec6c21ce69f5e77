// Hostile signatures, keys and lists of signers: true ones, harmed in one to six places by a seeded generator. What must hold
// of each: it is refused in words or understood, and never is a harmed signature taken for a true one.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { expect } from 'vitest';
import { decodePrivateKey } from '../../src/bytes/ssh/private-key.ts';
import { decodePublicKey } from '../../src/bytes/ssh/public-key.ts';
import { decodeSshSignature } from '../../src/bytes/ssh/ssh-signature.ts';
import { SshFault } from '../../src/bytes/ssh/ssh-wire.ts';
import { decodeAllowedSigners } from '../../src/manifest/trust/allowed-signers.ts';
import { judgeSignature } from '../../src/manifest/trust/judge-signature.ts';
import { type KeyKind, makeKey, signByKeygen } from './ssh-keys.ts';

const utc = { offsetMinutes: () => 0 };
const content = Buffer.from('manifest: release\nversion: 4.2.0\n');
const kinds: readonly KeyKind[] = ['ed25519', 'rsa', 'nistp256'];

export interface SshWorld {
  readonly keys: readonly { readonly secret: string; readonly blob: Buffer; readonly sig: Buffer }[];
  readonly list: string;
}

export function sshWorld(): SshWorld {
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-fuzz-'));
  try {
    const file = join(folder, 'm.yaml');
    writeFileSync(file, content);
    const lines: string[] = [];
    const keys = kinds.map((kind) => {
      const key = makeKey(folder, kind);
      signByKeygen(key, file);
      const pub = readFileSync(`${key}.pub`, 'utf8');
      lines.push(`lead namespaces="slotproof-*,file",valid-before="20991231" ${pub.trim()}`);
      return {
        secret: readFileSync(key, 'utf8'),
        blob: Buffer.from(pub.split(' ')[1] ?? '', 'base64'),
        sig: unarmoured(readFileSync(`${file}.sig`, 'latin1')),
      };
    });
    return { keys, list: `${lines.join('\n')}\n` };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function unarmoured(text: string): Buffer {
  return Buffer.from(text.trimEnd().split('\n').slice(1, -1).join(''), 'base64');
}

function armoured(blob: Uint8Array, what = 'SSH SIGNATURE'): string {
  const base64 = Buffer.from(blob)
    .toString('base64')
    .match(/.{1,70}/g) ?? [''];
  return `-----BEGIN ${what}-----\n${base64.join('\n')}\n-----END ${what}-----\n`;
}

type Harm = readonly [at: number, kind: 'flip' | 'cut' | 'add' | 'length', value: number];
const harms = fc.array(
  fc.tuple(
    fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true }),
    fc.constantFrom('flip' as const, 'cut' as const, 'add' as const, 'length' as const),
    fc.nat(255),
  ),
  { minLength: 1, maxLength: 6 },
);

function harmed(bytes: Uint8Array, all: readonly Harm[]): Buffer {
  let result = Buffer.from(bytes);
  for (const [share, kind, value] of all) {
    const at = Math.floor(share * result.length);
    if (kind === 'flip' && result.length > 0) result[at] = (result[at] ?? 0) ^ (value || 1);
    if (kind === 'cut')
      result = Buffer.concat([result.subarray(0, at), result.subarray(at + 1 + (value % 8))]);
    if (kind === 'add')
      result = Buffer.concat([result.subarray(0, at), Buffer.of(value), result.subarray(at)]);
    if (kind === 'length' && result.length >= 4)
      result.writeUInt32BE(value * 2 ** 24, Math.min(at, result.length - 4));
  }
  return result;
}

function understoodOrRefused(work: () => unknown): void {
  try {
    work();
  } catch (error) {
    if (!(error instanceof SshFault)) throw error;
    expect(error.message.length).toBeLessThan(200);
  }
}

export function sshFuzz(world: SshWorld) {
  const { signers } = decodeAllowedSigners(world.list, utc);
  const judge = (sig: string) =>
    judgeSignature(
      signers,
      { path: 'm', content, signature: Buffer.from(sig, 'latin1') },
      Date.UTC(2026, 10, 24),
    ).kind;
  for (const { sig } of world.keys) expect(judge(armoured(sig))).toBe('signed');
  return fc.property(fc.nat(kinds.length - 1), harms, fc.nat(3), (which, how, what) => {
    const key = world.keys[which];
    if (key === undefined) throw new Error('no such key');
    if (what === 0) {
      const bytes = harmed(key.sig, how);
      // The reserved string is to be ignored, so what only adds to it is a true one still: its fields tell.
      if (judge(armoured(bytes)) === 'signed')
        expect(decodeSshSignature(Buffer.from(armoured(bytes)))).toEqual(
          decodeSshSignature(Buffer.from(armoured(key.sig))),
        );
      judge(harmed(Buffer.from(armoured(key.sig)), how).toString('latin1'));
    }
    if (what === 1) understoodOrRefused(() => decodePublicKey(harmed(key.blob, how)));
    if (what === 2) {
      const blob = unarmoured(key.secret);
      understoodOrRefused(() => decodePrivateKey(armoured(harmed(blob, how), 'OPENSSH PRIVATE KEY')));
      understoodOrRefused(() => decodePrivateKey(harmed(Buffer.from(key.secret), how).toString('latin1')));
    }
    if (what === 3) {
      const text = harmed(Buffer.from(world.list), how).toString('latin1');
      const read = decodeAllowedSigners(text, utc);
      expect(read.signers.length + read.faults.length).toBeLessThanOrEqual(text.split('\n').length);
    }
  });
}
