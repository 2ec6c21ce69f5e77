// One key's signature over bytes, in the forms that SSH gives it (RFC 8332, 5656, 8709); node:crypto does the work. SHA-1
// signatures of RSA keys (ssh-rsa) are never taken and never made.

import { type KeyObject, sign, verify } from 'node:crypto';
import type { SshPublicKey } from './public-key.ts';
import { encodeSshMpint, joinBytes, leftPadded, SshFault, SshReader } from './ssh-wire.ts';

const rsaHashes: Readonly<Record<string, 'sha256' | 'sha512'>> = {
  'rsa-sha2-256': 'sha256',
  'rsa-sha2-512': 'sha512',
};

/** false: it does not hold, in whatever way it does not. */
export function keySignatureHolds(
  key: SshPublicKey,
  algorithm: string,
  value: Uint8Array,
  data: Uint8Array,
): boolean {
  switch (key.kind) {
    case 'ed25519':
      return algorithm === key.type && value.length === 64 && verify(null, data, key.key, value);
    case 'rsa': {
      const hash = Object.hasOwn(rsaHashes, algorithm) ? rsaHashes[algorithm] : undefined;
      if (hash === undefined || value.length > key.modulusBytes) return false;
      return verify(hash, data, key.key, leftPadded(value, key.modulusBytes));
    }
    case 'ecdsa': {
      if (algorithm !== key.type) return false;
      const halves = halvesOf(value, key.curve.lengthBytes);
      if (halves === undefined) return false;
      return verify(key.curve.hash, data, { key: key.key, dsaEncoding: 'ieee-p1363' }, halves);
    }
  }
}

function halvesOf(value: Uint8Array, lengthBytes: number): Uint8Array | undefined {
  try {
    const reader = new SshReader(value);
    const halves = [reader.mpint(), reader.mpint()];
    reader.requireEnd();
    return joinBytes(...halves.map((half) => leftPadded(half, lengthBytes)));
  } catch (error) {
    if (error instanceof SshFault) return undefined;
    throw error;
  }
}

export interface KeySignature {
  readonly algorithm: string;
  readonly value: Uint8Array;
}

export function signWithKey(key: SshPublicKey, secret: KeyObject, data: Uint8Array): KeySignature {
  switch (key.kind) {
    case 'ed25519':
      return { algorithm: key.type, value: sign(null, data, secret) };
    case 'rsa':
      return { algorithm: 'rsa-sha2-512', value: sign('sha512', data, secret) };
    case 'ecdsa': {
      const halves = sign(key.curve.hash, data, { key: secret, dsaEncoding: 'ieee-p1363' });
      const { lengthBytes } = key.curve;
      const value = joinBytes(
        encodeSshMpint(halves.subarray(0, lengthBytes)),
        encodeSshMpint(halves.subarray(lengthBytes)),
      );
      return { algorithm: key.type, value };
    }
  }
}
