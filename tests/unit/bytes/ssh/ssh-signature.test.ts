// SSH signatures judged by ssh-keygen, both ways, for every kind of key; then damage: every bit of a signature.

import { spawnSync } from 'node:child_process';
import { chmodSync, copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { keySignatureHolds, signWithKey } from '../../../../src/bytes/ssh/key-signature.ts';
import { decodePrivateKey } from '../../../../src/bytes/ssh/private-key.ts';
import {
  decodeKeyText,
  decodePublicKey,
  encodePublicKey,
  keyFingerprint,
  keyText,
} from '../../../../src/bytes/ssh/public-key.ts';
import {
  decodeSshSignature,
  encodeSshSignature,
  signedBytes,
} from '../../../../src/bytes/ssh/ssh-signature.ts';
import { SshFault } from '../../../../src/bytes/ssh/ssh-wire.ts';
import {
  fingerprintOf,
  holdsForKeygen,
  type KeyKind,
  keyKinds,
  makeKey,
  signByKeygen,
  verifiedByKeygen,
} from '../../../support/ssh-keys.ts';

const namespace = 'slotproof-manifest';
const kinds = Object.keys(keyKinds) as KeyKind[];
const message = Buffer.from('manifest: release\nnotes: bytes as they are, \r\n ÿ and no end of line');
let folder = '';
const keys = {} as Record<KeyKind, string>;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'slotproof-ssh-'));
  for (const kind of kinds) keys[kind] = makeKey(folder, kind);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function openKey(kind: KeyKind) {
  const file = decodePrivateKey(readFileSync(keys[kind], 'utf8'));
  if (file.kind !== 'open') throw new Error(file.kind);
  return file;
}

function ourSignature(kind: KeyKind, hash: 'sha256' | 'sha512' = 'sha512'): string {
  const { key, secret } = openKey(kind);
  const made = signWithKey(key, secret, signedBytes(message, namespace, hash));
  return encodeSshSignature({ publicKey: key.blob, namespace, hash, ...made });
}

/** As a manifest is judged, but for whose key it is. */
function holds(armoured: string | Uint8Array, content: Uint8Array = message): boolean {
  try {
    const bytes = typeof armoured === 'string' ? Buffer.from(armoured, 'latin1') : armoured;
    const { publicKey, namespace: said, hash, algorithm, value } = decodeSshSignature(bytes);
    if (said !== namespace) return false;
    return keySignatureHolds(decodePublicKey(publicKey), algorithm, value, signedBytes(content, said, hash));
  } catch (error) {
    if (error instanceof SshFault) return false;
    throw error;
  }
}

describe.each(kinds)('%s', (kind) => {
  test('ssh-keygen takes ours, we take its own, byte for byte the same form', () => {
    const file = join(folder, `${kind}.yaml`);
    writeFileSync(file, message);
    for (const hash of ['sha256', 'sha512'] as const) {
      const ours = ourSignature(kind, hash);
      writeFileSync(`${file}.ours`, ours);
      expect(holdsForKeygen(message, `${file}.ours`)).toBe(true);
      expect(holdsForKeygen(message.subarray(1), `${file}.ours`)).toBe(false);
      const allowed = `lead namespaces="slotproof-manifest" ${keyText(openKey(kind).key)}\n`;
      const asked = { allowed, principal: 'lead', message, sig: `${file}.ours` };
      expect(verifiedByKeygen(folder, asked)).toBe(true);
      expect(verifiedByKeygen(folder, { ...asked, principal: 'another' })).toBe(false);
      expect(holds(ours)).toBe(true);
      signByKeygen(keys[kind], file, { hash });
      const theirs = readFileSync(`${file}.sig`, 'latin1');
      expect(holds(theirs)).toBe(true);
      expect(encodeSshSignature(decodeSshSignature(Buffer.from(theirs)))).toBe(theirs);
    }
  });

  test('key and fingerprint are those that ssh-keygen prints', () => {
    const { key } = openKey(kind);
    const [type = '', base64 = ''] = readFileSync(`${keys[kind]}.pub`, 'utf8').split(' ');
    expect(keyText(key)).toBe(`${type} ${base64}`);
    expect(keyFingerprint(decodeKeyText(type, base64))).toBe(fingerprintOf(keys[kind]));
    expect(Buffer.from(encodePublicKey(key.key)).equals(key.blob)).toBe(true);
  });

  test('no bit of it may differ', () => {
    const lines = ourSignature(kind).trimEnd().split('\n');
    const blob = Buffer.from(lines.slice(1, -1).join(''), 'base64');
    const armour = (bytes: Buffer) => `${lines[0]}\n${bytes.toString('base64')}\n${lines.at(-1)}\n`;
    expect(holds(armour(blob))).toBe(true);
    // Every bit where that is quick; of longer ones a bit of each byte.
    const bits = kind === 'ed25519' ? [0, 1, 2, 3, 4, 5, 6, 7] : undefined;
    const survivors: string[] = [];
    for (let at = 0; at < blob.length; at++)
      for (const bit of bits ?? [at % 8]) {
        const harmed = Buffer.from(blob);
        harmed[at] = (harmed[at] ?? 0) ^ (1 << bit);
        if (holds(armour(harmed))) survivors.push(`byte ${at}, bit ${bit}`);
      }
    expect(survivors).toEqual([]);
    for (let length = 0; length < blob.length; length += 7)
      expect(holds(armour(blob.subarray(0, length)))).toBe(false);
    expect(holds(armour(Buffer.concat([blob, Buffer.of(0)])))).toBe(false);
  });
});

test('no byte of the message may differ, be missing or be added', () => {
  const armoured = ourSignature('ed25519');
  for (let at = 0; at < message.length; at++) {
    const harmed = Buffer.from(message);
    harmed[at] = (harmed[at] ?? 0) ^ 1;
    expect(holds(armoured, harmed), `byte ${at}`).toBe(false);
    expect(holds(armoured, message.subarray(0, at))).toBe(false);
  }
  expect(holds(armoured, Buffer.concat([message, Buffer.from('\n')]))).toBe(false);
});

test('no character of the armour may differ; line ends of Windows may', () => {
  const armoured = ourSignature('ed25519');
  for (let at = 0; at < armoured.trimEnd().length; at++) {
    if (armoured[at] === '\n') continue;
    const harmed = `${armoured.slice(0, at)}${String.fromCharCode(armoured.charCodeAt(at) ^ 2)}${armoured.slice(at + 1)}`;
    expect(holds(harmed), `character ${at}`).toBe(false);
  }
  expect(holds(armoured.replaceAll('\n', '\r\n'))).toBe(true);
  expect(holds(`x\n${armoured}`)).toBe(false);
  expect(holds(`${armoured}x`)).toBe(false);
});

test('another namespace, and RSA with SHA-1, do not count', () => {
  const file = join(folder, 'other.yaml');
  writeFileSync(file, message);
  signByKeygen(keys.ed25519, file, { namespace: 'file' });
  expect(holds(readFileSync(`${file}.sig`))).toBe(false);
  const { key, secret } = openKey('rsa');
  const data = signedBytes(message, namespace, 'sha512');
  const { value } = signWithKey(key, secret, data);
  expect(keySignatureHolds(key, 'rsa-sha2-512', value, data)).toBe(true);
  expect(keySignatureHolds(key, 'rsa-sha2-256', value, data)).toBe(false);
  expect(keySignatureHolds(key, 'ssh-rsa', value, data)).toBe(false);
});

test('fields as the specification writes them, by hand', () => {
  const text = (value: string) =>
    `${value.length.toString(16).padStart(8, '0')}${Buffer.from(value).toString('hex')}`;
  const hex =
    `${Buffer.from('SSHSIG').toString('hex')}00000001` +
    `00000002abcd${text('slotproof-manifest')}00000003010203${text('sha512')}` +
    `00000013${text('ssh-ed25519')}00000000`;
  const armour = (blob: string) =>
    Buffer.from(
      `-----BEGIN SSH SIGNATURE-----\n${Buffer.from(blob, 'hex').toString('base64')}\n-----END SSH SIGNATURE-----`,
    );
  expect(decodeSshSignature(armour(hex))).toEqual({
    publicKey: Buffer.from('abcd', 'hex'),
    namespace: 'slotproof-manifest',
    hash: 'sha512',
    algorithm: 'ssh-ed25519',
    value: Buffer.alloc(0),
  });
  const wrong = [
    hex.replace('00000001', '00000002'),
    hex.replace(text('sha512'), text('sha384')),
    `${hex}00`,
    hex.slice(0, -2),
    hex.replace('00000002abcd', 'ffffffffabcd'),
  ];
  for (const one of wrong) expect(() => decodeSshSignature(armour(one)), one).toThrow(SshFault);
});

test('keys that are too weak, locked or of another kind are told by name', () => {
  const encrypted = makeKey(folder, 'ed25519', 'locked', 'a passphrase');
  const file = decodePrivateKey(readFileSync(encrypted, 'utf8'));
  expect(file.kind).toBe('encrypted');
  expect(file.kind === 'encrypted' && file.key && keyFingerprint(file.key)).toBe(fingerprintOf(encrypted));
  const named = (type: string) => Buffer.concat([Buffer.of(0, 0, 0, type.length), Buffer.from(type)]);
  expect(() => decodePublicKey(named('sk-ssh-ed25519@openssh.com'))).toThrow(/security key/);
  expect(() => decodePublicKey(named('ssh-ed25519-cert-v01@openssh.com'))).toThrow(/Certificates/);
  expect(() => decodePublicKey(named('ssh-dss'))).toThrow(/too weak/);
  const weak = Buffer.concat([
    named('ssh-rsa'),
    Buffer.of(0, 0, 0, 3, 1, 0, 1),
    Buffer.of(0, 0, 0, 129, 0),
    Buffer.alloc(128, 0x81),
  ]);
  expect(() => decodePublicKey(weak)).toThrow('1024 bits is too weak');
});

test('a private key whose halves belong to two keys signs nothing', () => {
  const lines = readFileSync(keys.ed25519, 'utf8').trimEnd().split('\n');
  const blob = Buffer.from(lines.slice(1, -1).join(''), 'base64');
  const { key } = openKey('ed25519');
  const x = Buffer.from(key.blob).subarray(-32);
  const other = decodeKeyText(
    ...(readFileSync(join(folder, 'locked.pub'), 'utf8').split(' ').slice(0, 2) as [string, string]),
  );
  const at = blob.indexOf(x);
  blob.set(Buffer.from(other.blob).subarray(-32), at);
  const text = [lines[0], blob.toString('base64'), lines.at(-1)].join('\n');
  expect(() => decodePrivateKey(text)).toThrow(/does not belong/);
});

test('keys in PEM are opened as well, and a locked one is told', () => {
  for (const [kind, form] of [
    ['rsa', 'PEM'],
    ['nistp256', 'PEM'],
    ['nistp384', 'PKCS8'],
  ] as const) {
    const path = join(folder, `${kind}-${form}`);
    copyFileSync(keys[kind], path);
    chmodSync(path, 0o600);
    spawnSync('ssh-keygen', ['-q', '-p', '-m', form, '-P', '', '-N', '', '-f', path]);
    const text = readFileSync(path, 'utf8');
    expect(text).not.toContain('OPENSSH');
    const file = decodePrivateKey(text);
    expect(file.kind === 'open' && keyFingerprint(file.key)).toBe(fingerprintOf(keys[kind]));
    spawnSync('ssh-keygen', ['-q', '-p', '-m', form, '-P', '', '-N', 'a passphrase', '-f', path]);
    expect(decodePrivateKey(readFileSync(path, 'utf8')).kind).toBe('encrypted');
  }
});
