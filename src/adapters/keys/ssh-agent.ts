// The ssh-agent of the person's session, by its socket or pipe: one request to sign, one answer (draft-ietf-sshm-ssh-agent).
// Lists no keys, adds none. What it answers is believed by nobody: who asks verifies the signature.

import { createConnection } from 'node:net';
import {
  encodeSshNumber,
  encodeSshString,
  joinBytes,
  SshFault,
  SshReader,
} from '../../bytes/ssh/ssh-wire.ts';
import type { KeyAgent } from '../../ports/key-agent.ts';

const signRequest = 13;
const signResponse = 14;
/** For RSA keys: SHA-512. Others take no notice of it. */
const rsaSha512 = 4;
const maxAnswerBytes = 256 * 1024;
/** An agent may ask its person first. */
const patienceMs = 120_000;
const windowsPipe = '\\\\.\\pipe\\openssh-ssh-agent';

/** `socket`: SSH_AUTH_SOCK. */
export function sshAgent(socket: string | undefined, platform: string = process.platform): KeyAgent {
  const path = socket || (platform === 'win32' ? windowsPipe : undefined);
  return {
    async sign(publicKey, data) {
      if (path === undefined) return undefined;
      const body = joinBytes(
        Uint8Array.of(signRequest),
        encodeSshString(publicKey),
        encodeSshString(data),
        encodeSshNumber(rsaSha512),
      );
      const answer = await ask(path, encodeSshString(body));
      return answer === undefined ? undefined : decodeAnswer(answer);
    },
  };
}

function decodeAnswer(answer: Uint8Array) {
  try {
    const reader = new SshReader(answer);
    if (reader.take(1)[0] !== signResponse) return undefined;
    const signature = new SshReader(reader.string());
    return { algorithm: signature.name(), value: signature.string() };
  } catch (error) {
    if (error instanceof SshFault) return undefined;
    throw error;
  }
}

/** The body of the answer; undefined where none comes. */
function ask(path: string, request: Uint8Array): Promise<Uint8Array | undefined> {
  return new Promise((resolve) => {
    const connection = createConnection(path);
    let got: Buffer = Buffer.alloc(0);
    const end = (answer: Uint8Array | undefined) => {
      connection.destroy();
      resolve(answer);
    };
    connection.setTimeout(patienceMs, () => end(undefined));
    connection.on('error', () => end(undefined));
    connection.on('close', () => resolve(undefined));
    connection.on('connect', () => connection.write(request));
    connection.on('data', (chunk) => {
      got = Buffer.concat([got, chunk]);
      const lengthBytes = got.length >= 4 ? got.readUInt32BE(0) : 0;
      if (got.length > maxAnswerBytes || lengthBytes > maxAnswerBytes) end(undefined);
      else if (got.length >= 4 && got.length >= 4 + lengthBytes) end(got.subarray(4, 4 + lengthBytes));
    });
  });
}
