// An agent that is none: whatever comes back from the socket, there is a signature or none, and never a wait without end.

import { mkdtempSync, rmSync } from 'node:fs';
import { createServer, type Server, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { sshAgent } from '../../../../src/adapters/keys/ssh-agent.ts';

let folder = '';
let server: Server | undefined;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'slotproof-agent-'));
});
afterEach(() => {
  server?.close();
  rmSync(folder, { recursive: true });
});

const asked: Buffer[] = [];
async function answeredWith(answer: (socket: Socket) => void) {
  const path = join(folder, 'socket');
  asked.length = 0;
  server = createServer((socket) => {
    socket.on('error', () => {});
    socket.once('data', (data) => {
      asked.push(data);
      answer(socket);
    });
  });
  await new Promise<void>((resolve) => server?.listen(path, resolve));
  return sshAgent(path).sign(Buffer.from('key'), Buffer.from('data'));
}

/** By the draft: length, 14, and the signature as a string of two strings. */
const good = Buffer.from(`${'0000000f'}0e0000000a${'00000001'}61${'00000001'}62`, 'hex');

test('the request is as the draft has it; the answer may come in pieces', async () => {
  const signature = await answeredWith((socket) => {
    for (const byte of good) socket.write(Buffer.of(byte));
  });
  expect(signature).toEqual({ algorithm: 'a', value: Buffer.from('b') });
  expect(asked[0]?.toString('hex')).toBe('000000140d000000036b6579000000046461746100000004');
});

test.each<[string, (socket: Socket) => void]>([
  ['it ends without a word', (socket) => socket.end()],
  ['it breaks off', (socket) => socket.end(good.subarray(0, 9))],
  ['it says no', (socket) => socket.write(Buffer.from('0000000105', 'hex'))],
  ['an empty answer', (socket) => socket.write(Buffer.from('00000000', 'hex'))],
  ['a length beyond reason', (socket) => socket.write(Buffer.from('7fffffff0e', 'hex'))],
  ['a signature that is cut short', (socket) => socket.write(Buffer.from('000000060e00000099aa', 'hex'))],
  ['a text', (socket) => socket.end('HTTP/1.1 400 Bad Request\r\n\r\n')],
])('%s: no signature', async (_, answer) => {
  expect(await answeredWith(answer)).toBeUndefined();
});

test('no agent, or no socket there', async () => {
  const data = Buffer.from('data');
  expect(await sshAgent(undefined, 'linux').sign(data, data)).toBeUndefined();
  expect(await sshAgent('', 'linux').sign(data, data)).toBeUndefined();
  expect(await sshAgent(join(folder, 'none')).sign(data, data)).toBeUndefined();
});
