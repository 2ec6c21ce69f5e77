// SSHSIG, OpenSSH's form of a detached signature (PROTOCOL.sshsig), version 1: its armour and its fields to values and back,
// and the bytes that are signed. Whether a signature holds is `key-signature.ts`; whose key it is, nobody here asks.
//
//   byte[6] "SSHSIG", uint32 1, string public key, string namespace, string reserved, string hash, string signature
//   signed: byte[6] "SSHSIG", string namespace, string reserved, string hash, string H(message)

import { createHash } from 'node:crypto';
import {
  decodeBase64,
  encodeBase64,
  encodeSshNumber,
  encodeSshString,
  joinBytes,
  SshFault,
  SshReader,
} from './ssh-wire.ts';

export const signatureHashes = ['sha256', 'sha512'] as const;
export type SignatureHash = (typeof signatureHashes)[number];

export interface SshSignature {
  /** Of the key that signed, as it says itself. */
  readonly publicKey: Uint8Array;
  readonly namespace: string;
  readonly hash: SignatureHash;
  readonly algorithm: string;
  readonly value: Uint8Array;
}

/** One of the largest keys in use takes a tenth of it. */
export const maxSignatureBytes = 64 * 1024;

const magic = new TextEncoder().encode('SSHSIG');
const begin = '-----BEGIN SSH SIGNATURE-----';
const end = '-----END SSH SIGNATURE-----';
const lineLength = 70;

/** Of the armoured text; SshFault says what is wrong with it. */
export function decodeSshSignature(armoured: Uint8Array): SshSignature {
  if (armoured.length > maxSignatureBytes) throw new SshFault('It is far too large for a signature.');
  const text = Buffer.from(armoured).toString('latin1');
  const lines = text.replace(/\r\n/g, '\n').replace(/\n+$/, '').split('\n');
  if (lines[0] !== begin || lines.length < 3 || lines.at(-1) !== end)
    throw new SshFault('It is no SSH signature: its first or last line is missing.');
  const blob = decodeBase64(lines.slice(1, -1).join(''));
  if (blob === undefined) throw new SshFault('What stands between its first and last line is not base64.');
  return decodeFields(blob);
}

function decodeFields(blob: Uint8Array): SshSignature {
  const reader = new SshReader(blob);
  if (!Buffer.from(reader.take(magic.length)).equals(magic)) throw new SshFault('It does not begin as one.');
  const version = reader.number();
  if (version !== 1) throw new SshFault(`It is of version ${version}, and 1 alone is known.`);
  const publicKey = reader.string();
  const namespace = reader.name();
  // For later versions: to be ignored, as the format says.
  reader.string();
  const hashName = reader.name();
  const hash = signatureHashes.find((known) => known === hashName);
  const signature = new SshReader(reader.string());
  reader.requireEnd();
  if (hash === undefined) throw new SshFault('It names a hash that is not used in signatures.');
  const algorithm = signature.name();
  const value = signature.string();
  signature.requireEnd();
  return { publicKey, namespace, hash, algorithm, value };
}

/** Armoured as ssh-keygen does it. */
export function encodeSshSignature({ publicKey, namespace, hash, algorithm, value }: SshSignature): string {
  const blob = joinBytes(
    magic,
    encodeSshNumber(1),
    encodeSshString(publicKey),
    encodeSshString(namespace),
    encodeSshString(''),
    encodeSshString(hash),
    encodeSshString(joinBytes(encodeSshString(algorithm), encodeSshString(value))),
  );
  const base64 = encodeBase64(blob).match(new RegExp(`.{1,${lineLength}}`, 'g')) ?? [];
  return `${[begin, ...base64, end].join('\n')}\n`;
}

/** What the key puts its name to. */
export function signedBytes(message: Uint8Array, namespace: string, hash: SignatureHash): Uint8Array {
  return joinBytes(
    magic,
    encodeSshString(namespace),
    encodeSshString(''),
    encodeSshString(hash),
    encodeSshString(createHash(hash).update(message).digest()),
  );
}
