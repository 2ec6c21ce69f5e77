// The second thread for digests: whatever the pieces, the same digests as in one go; memory handed in may be used
// again at once; and a thread that cannot come up is stood in for.

import { createHash } from 'node:crypto';
import { describe, expect, test, vi } from 'vitest';
import { digestsOf, expectDigests, startDigests } from '../../../src/bytes/digests.ts';
import { startHashThread, wakeHashThread } from '../../../src/bytes/hash-thread.ts';

const mebibyte = 2 ** 20;
const bytes = new Uint8Array(21 * mebibyte + 12_345);
for (let at = 0, value = 1; at < bytes.length; at += 4096) {
  value = (Math.imul(value, 1_103_515_245) + 12_345) >>> 0;
  bytes.fill(value >>> 24, at, at + 4096);
}
const whole = (kind: string, part = bytes) => createHash(kind).update(part).digest('hex');

/** Hands in pieces out of one buffer that is used again each time. */
function inPieces(run: { update(chunk: Uint8Array): void }, pieceBytes: number, lengthBytes: number): void {
  const buffer = new Uint8Array(pieceBytes);
  for (let at = 0; at < lengthBytes; at += pieceBytes) {
    const piece = buffer.subarray(0, Math.min(pieceBytes, lengthBytes - at));
    piece.set(bytes.subarray(at, at + piece.length));
    run.update(piece);
    buffer.fill(0xee);
  }
}

describe('the same digests as in one go', () => {
  test.each([
    ['pieces of a slot', mebibyte, bytes.length],
    ['pieces longer than the whole ring', 9 * mebibyte + 7, bytes.length],
    ['small pieces, less than the ring holds', 1000, 7001],
    ['as many slots as the ring has', mebibyte, 8 * mebibyte],
    ['nothing at all', 1, 0],
  ])('%s', (_, pieceBytes, lengthBytes) => {
    const run = startHashThread(['sha256', 'md5', 'sha512']);
    inPieces(run, pieceBytes, lengthBytes);
    const part = bytes.subarray(0, lengthBytes);
    expect(run.finish()).toEqual([whole('sha256', part), whole('md5', part), whole('sha512', part)]);
  });

  test('a changed byte anywhere is another digest', () => {
    for (const at of [0, mebibyte - 1, 8 * mebibyte, bytes.length - 1]) {
      const run = startHashThread(['sha256']);
      const changed = bytes.slice();
      changed[at]! ^= 1;
      run.update(changed);
      expect(run.finish()).not.toEqual([whole('sha256')]);
    }
  });

  test('several at once do not mix', () => {
    const runs = [1, 2, 3].map(() => startHashThread(['sha256']));
    for (const [index, run] of runs.entries()) inPieces(run, mebibyte, (index + 1) * mebibyte);
    runs.forEach((run, index) => {
      expect(run.finish()).toEqual([whole('sha256', bytes.subarray(0, (index + 1) * mebibyte))]);
    });
  });
});

test('of long files startDigests gives the same, with kinds that no other thread does beside it', async () => {
  const kinds = ['crc32', 'md5', 'sha256'] as const;
  const run = await startDigests(kinds, { expectedBytes: 40 * mebibyte });
  inPieces(run, mebibyte, bytes.length);
  expect(run.finish()).toEqual(await digestsOf(bytes, kinds));
});

test('a thread that was woken digests once, and only what it was woken for', async () => {
  wakeHashThread(['sha256', 'md5']);
  const [other, first, second] = [
    startHashThread(['sha256']),
    startHashThread(['sha256', 'md5']),
    startHashThread(['sha256', 'md5']),
  ];
  for (const run of [other, first, second]) run.update(bytes.subarray(0, 4 * mebibyte));
  second.update(bytes.subarray(4 * mebibyte, 5 * mebibyte));
  const four = bytes.subarray(0, 4 * mebibyte);
  const five = bytes.subarray(0, 5 * mebibyte);
  expect(other.finish()).toEqual([whole('sha256', four)]);
  expect(first.finish()).toEqual([whole('sha256', four), whole('md5', four)]);
  expect(second.finish()).toEqual([whole('sha256', five), whole('md5', five)]);
  await expectDigests(['crc32', 'sha256'], 40 * mebibyte);
  const run = await startDigests(['sha256', 'crc32'], { expectedBytes: 40 * mebibyte });
  inPieces(run, mebibyte, bytes.length);
  expect(run.finish()).toEqual(await digestsOf(bytes, ['crc32', 'sha256']));
});

test('a thread that does not come up: the ring and all that follows are digested here', () => {
  // Of every wait for the thread's start this one sees the end of its time.
  const wait = vi.spyOn(Atomics, 'wait').mockImplementation(() => 'timed-out');
  const exchange = vi.spyOn(Atomics, 'compareExchange');
  try {
    const run = startHashThread(['sha256']);
    inPieces(run, mebibyte, bytes.length);
    expect(run.finish()).toEqual([whole('sha256')]);
    expect(exchange.mock.results[0]?.value).toBe(0);
    // The thread that comes up later must find that it is not wanted.
    const [words, , , notWanted] = exchange.mock.calls[0] as unknown as [Int32Array, number, number, number];
    expect(words[2]).toBe(notWanted);
  } finally {
    wait.mockRestore();
    exchange.mockRestore();
  }
});

test('a call that comes before the thread is done is not taken for its end', () => {
  const wait = Atomics.wait;
  const working = 1;
  let early = 0;
  // The first wait for the end sees the call that the thread had come up, as a slow start lets it.
  const spied = vi.spyOn(Atomics, 'wait').mockImplementation(((words, at, value, timeout) => {
    if (at === 2 && value === working && early++ === 0) return 'ok';
    return wait(words as Int32Array, at, value as number, timeout);
  }) as typeof Atomics.wait);
  try {
    const run = startHashThread(['sha256']);
    run.update(bytes.subarray(0, 8 * mebibyte));
    expect(run.finish()).toEqual([whole('sha256', bytes.subarray(0, 8 * mebibyte))]);
    expect(early).toBeGreaterThan(0);
  } finally {
    spied.mockRestore();
  }
});
