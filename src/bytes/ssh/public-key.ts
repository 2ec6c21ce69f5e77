// Public keys of SSH (RFC 4253, 5656, 8709) that manifests are signed with: Ed25519, RSA from 2,048 bits on, and ECDSA over
// the three NIST curves. Keys that live in a security key (sk-…) and certificates are recognised and refused by name.

import { createHash, createPublicKey, type JsonWebKey, type KeyObject } from 'node:crypto';
import {
  decodeBase64,
  encodeBase64,
  encodeSshMpint,
  encodeSshString,
  joinBytes,
  SshFault,
  SshReader,
} from './ssh-wire.ts';

export interface SshCurve {
  readonly name: 'nistp256' | 'nistp384' | 'nistp521';
  /** Its name in JSON web keys. */
  readonly crv: 'P-256' | 'P-384' | 'P-521';
  readonly hash: 'sha256' | 'sha384' | 'sha512';
  /** Of a coordinate, and of each half of a signature. */
  readonly lengthBytes: number;
}

export const sshCurves: readonly SshCurve[] = [
  { name: 'nistp256', crv: 'P-256', hash: 'sha256', lengthBytes: 32 },
  { name: 'nistp384', crv: 'P-384', hash: 'sha384', lengthBytes: 48 },
  { name: 'nistp521', crv: 'P-521', hash: 'sha512', lengthBytes: 66 },
];

export type SshKeyKind =
  | { readonly kind: 'ed25519' }
  | { readonly kind: 'rsa'; readonly modulusBytes: number }
  | { readonly kind: 'ecdsa'; readonly curve: SshCurve };

export type SshPublicKey = SshKeyKind & {
  /** `ssh-ed25519`, as it stands in the blob. */
  readonly type: string;
  readonly blob: Uint8Array;
  readonly key: KeyObject;
};

export const maxKeyBlobBytes = 8 * 1024;
const minRsaBits = 2048;
const maxRsaBits = 16384;

/** SshFault where it is no key that can be used here. */
export function decodePublicKey(blob: Uint8Array): SshPublicKey {
  if (blob.length > maxKeyBlobBytes) throw new SshFault('The key is far too large.');
  const reader = new SshReader(blob);
  const type = reader.name();
  if (type === 'ssh-ed25519') {
    const x = reader.string();
    reader.requireEnd();
    if (x.length !== 32) throw new SshFault('An Ed25519 key has 32 bytes.');
    return { kind: 'ed25519', type, blob, key: keyOf({ kty: 'OKP', crv: 'Ed25519', x: base64Url(x) }) };
  }
  if (type === 'ssh-rsa') {
    const e = reader.mpint();
    const n = reader.mpint();
    reader.requireEnd();
    const bits = n.length * 8 - (Math.clz32(n[0] ?? 0) - 24);
    if (bits < minRsaBits)
      throw new SshFault(`An RSA key of ${bits} bits is too weak; ${minRsaBits} are the least.`);
    if (bits > maxRsaBits || e.length > 8) throw new SshFault('An RSA key as large as this is not used.');
    const key = keyOf({ kty: 'RSA', n: base64Url(n), e: base64Url(e) });
    return { kind: 'rsa', type, blob, key, modulusBytes: n.length };
  }
  const curve = sshCurves.find(({ name }) => type === `ecdsa-sha2-${name}`);
  if (curve !== undefined) {
    if (reader.name() !== curve.name) throw new SshFault('The key names two curves.');
    const point = reader.string();
    reader.requireEnd();
    if (point[0] !== 4 || point.length !== 1 + 2 * curve.lengthBytes)
      throw new SshFault('The point of an ECDSA key has another length.');
    const x = point.subarray(1, 1 + curve.lengthBytes);
    const y = point.subarray(1 + curve.lengthBytes);
    const key = keyOf({ kty: 'EC', crv: curve.crv, x: base64Url(x), y: base64Url(y) });
    return { kind: 'ecdsa', type, blob, key, curve };
  }
  throw new SshFault(refusedKind(type));
}

function refusedKind(type: string): string {
  if (type.includes('-cert-')) return 'Certificates are not supported: use the key itself.';
  if (type.startsWith('sk-')) return 'Keys in a security key (sk-…) are not supported: use an Ed25519 key.';
  if (type === 'ssh-dss') return 'DSA keys are too weak: use an Ed25519 key.';
  return `Keys of the kind ${type.slice(0, 40)} are not supported: use an Ed25519 key.`;
}

function keyOf(key: JsonWebKey): KeyObject {
  try {
    return createPublicKey({ key, format: 'jwk' });
  } catch {
    throw new SshFault('The numbers of the key are those of no key.');
  }
}

export function base64Url(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString('base64url');
}

/** The blob of a key that node:crypto holds; SshFault where SSH has none for its kind. */
export function encodePublicKey(key: KeyObject): Uint8Array {
  const jwk = key.export({ format: 'jwk' });
  const part = (value: string | undefined) => Buffer.from(value ?? '', 'base64url');
  if (jwk.kty === 'OKP' && jwk.crv === 'Ed25519')
    return joinBytes(encodeSshString('ssh-ed25519'), encodeSshString(part(jwk.x)));
  if (jwk.kty === 'RSA')
    return joinBytes(encodeSshString('ssh-rsa'), encodeSshMpint(part(jwk.e)), encodeSshMpint(part(jwk.n)));
  const curve = sshCurves.find(({ crv }) => jwk.kty === 'EC' && crv === jwk.crv);
  if (curve === undefined) throw new SshFault(refusedKind(String(jwk.crv ?? jwk.kty)));
  return joinBytes(
    encodeSshString(`ecdsa-sha2-${curve.name}`),
    encodeSshString(curve.name),
    encodeSshString(joinBytes(Uint8Array.of(4), part(jwk.x), part(jwk.y))),
  );
}

/** `ssh-ed25519 AAAA…`, which must name the same kind twice; SshFault where it does not. */
export function decodeKeyText(type: string, base64: string): SshPublicKey {
  const blob = base64.length > 2 * maxKeyBlobBytes ? undefined : decodeBase64(base64);
  if (blob === undefined) throw new SshFault('The key is not written in base64.');
  const key = decodePublicKey(blob);
  if (key.type !== type) throw new SshFault(`The key is said to be ${type.slice(0, 40)} and is ${key.type}.`);
  return key;
}

export function keyText({ type, blob }: Pick<SshPublicKey, 'type' | 'blob'>): string {
  return `${type} ${encodeBase64(blob)}`;
}

/** As `ssh-keygen -l` prints it: `SHA256:` and base64 without padding. */
export function keyFingerprint({ blob }: Pick<SshPublicKey, 'blob'>): string {
  return `SHA256:${createHash('sha256').update(blob).digest('base64').replace(/=+$/, '')}`;
}
