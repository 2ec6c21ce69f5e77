// A key out of the file that a person names: a private key, which can sign, or a public one, which can be trusted and for which
// an agent may sign. Asks for no passphrase: see `private-key.ts`.

import { decodePrivateKey, maxKeyFileBytes, type PrivateKeyFile } from '../../bytes/ssh/private-key.ts';
import { decodeKeyText, type SshPublicKey } from '../../bytes/ssh/public-key.ts';
import { SshFault } from '../../bytes/ssh/ssh-wire.ts';
import { Failure } from '../../words/failure.ts';
import { printable } from '../../words/printable.ts';
import type { Context } from '../context.ts';

export type KeyFile = Exclude<PrivateKeyFile, { kind: 'other' }> | PublicKeyFile;

export interface PublicKeyFile {
  readonly kind: 'public';
  readonly key: SshPublicKey;
  readonly comment: string;
}

/** Failure `key-unfit` (exit 2) where the file holds no key that can be used. */
export function readKeyFile({ files }: Pick<Context, 'files'>, path: string): KeyFile {
  const text = new TextDecoder('latin1').decode(files.readBytes(path, maxKeyFileBytes));
  try {
    const file = decodePrivateKey(text);
    return file.kind === 'other' ? decodePublicKeyFile(text) : file;
  } catch (error) {
    if (!(error instanceof SshFault)) throw error;
    throw keyUnfit(files.absolute(path), error.message);
  }
}

/** One line, as ssh-keygen writes it. */
function decodePublicKeyFile(text: string): PublicKeyFile {
  const lines = text.split('\n').map((line) => line.replace(/\r$/, '').trim());
  const keys = lines.filter((line) => line !== '' && !line.startsWith('#'));
  const [, type = '', base64 = '', comment = ''] = /^(\S+)[ \t]+(\S+)[ \t]*(.*)$/.exec(keys[0] ?? '') ?? [];
  if (!/^(?:ssh-|ecdsa-|sk-)/.test(type)) throw new SshFault('It holds no key of SSH.');
  if (keys.length > 1) throw new SshFault('It holds more than one line: give the file of one key.');
  return { kind: 'public', key: decodeKeyText(type, base64), comment: printable(comment, 80) };
}

export function keyUnfit(where: string, summary: string): Failure {
  return new Failure({
    code: 'key-unfit',
    exit: 2,
    summary: `This key cannot be used. ${summary}`,
    expected: 'an Ed25519, RSA or ECDSA key as ssh-keygen makes it',
    where,
    next: 'Give another key; ssh-keygen -t ed25519 makes one.',
  });
}
