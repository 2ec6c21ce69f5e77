// Digests worked out on a second thread, so that a long file is read while what was read before is digested. The
// chunks go through a ring of shared memory; whoever hands one in waits only where the ring is full, and at the end.
// Where the thread does not come up, the caller's own thread does its work. Opens nothing and reads nothing.

import { createHash } from 'node:crypto';
import { Worker } from 'node:worker_threads';

const slotBytes = 2 ** 20;
const slots = 8;
/** A thread comes up in some 20 ms; on a laptop that is busy with something else, later. */
const startWithinMs = 5_000;
/** A slot takes a millisecond to digest. A thread that needs a minute for one has died. */
const slotWithinMs = 60_000;

/**
 * Places in the shared words: how many slots were filled (-1 - n: n of them, and no more will be) and emptied, the
 * thread's state, and the bytes in each slot from `lengths` on.
 */
const word = { filled: 0, emptied: 1, state: 2, lengths: 3 } as const;
const state = { starting: 0, working: 1, notWanted: 2, done: 3 } as const;
const resultBytes = 64;

interface Shared {
  readonly kinds: readonly string[];
  readonly words: SharedArrayBuffer;
  readonly ring: SharedArrayBuffer;
  readonly results: SharedArrayBuffer;
  readonly names: { readonly word: typeof word; readonly state: typeof state };
  readonly slotBytes: number;
  readonly slots: number;
}

/** Runs on the other thread, as text: it may name nothing of this file. */
const work = `
const { createHash } = require('node:crypto');
const { workerData } = require('node:worker_threads');
const { kinds, names: { word, state }, slotBytes, slots } = workerData;
const words = new Int32Array(workerData.words);
const ring = new Uint8Array(workerData.ring);
const results = new Uint8Array(workerData.results);
if (Atomics.compareExchange(words, word.state, state.starting, state.working) === state.starting) {
  const hashes = kinds.map((kind) => createHash(kind));
  Atomics.notify(words, word.state);
  for (let count = 0; ; ) {
    const filled = Atomics.load(words, word.filled);
    if (filled === count) {
      Atomics.wait(words, word.filled, filled);
      continue;
    }
    if (-filled - 1 === count) break;
    const at = (count % slots) * slotBytes;
    const chunk = ring.subarray(at, at + words[word.lengths + (count % slots)]);
    for (const hash of hashes) hash.update(chunk);
    count += 1;
    Atomics.store(words, word.emptied, count);
    Atomics.notify(words, word.emptied);
  }
  hashes.forEach((hash, index) => results.set(hash.digest(), index * ${resultBytes}));
  Atomics.store(words, word.state, state.done);
  Atomics.notify(words, word.state);
}
`;

export interface HashThread {
  /** Takes the next bytes in; keeps no hold of the chunk's memory. */
  update(chunk: Uint8Array): void;
  /** Lower-case hex, in the order of the kinds. */
  finish(): string[];
}

/** One that was woken and is not in use yet. */
let awake: { readonly kinds: string; readonly thread: HashThread } | undefined;

/** A thread for these kinds will be asked for before long: it comes up meanwhile. */
export function wakeHashThread(kinds: readonly string[]): void {
  if (awake?.kinds !== kinds.join()) awake = { kinds: kinds.join(), thread: newHashThread(kinds) };
}

/** `kinds`: as node:crypto names them, each of which it is known to do. */
export function startHashThread(kinds: readonly string[]): HashThread {
  if (awake?.kinds !== kinds.join()) return newHashThread(kinds);
  const { thread } = awake;
  awake = undefined;
  return thread;
}

function newHashThread(kinds: readonly string[]): HashThread {
  const shared: Shared = {
    kinds,
    words: new SharedArrayBuffer((word.lengths + slots) * 4),
    ring: new SharedArrayBuffer(slots * slotBytes),
    results: new SharedArrayBuffer(kinds.length * resultBytes),
    names: { word, state },
    slotBytes,
    slots,
  };
  const words = new Int32Array(shared.words);
  const ring = new Uint8Array(shared.ring);
  // A thread that waits for more bytes keeps no process alive.
  const worker = new Worker(work, { eval: true, workerData: shared });
  worker.on('error', () => {});
  worker.unref();
  let filled = 0;
  let own: ReturnType<typeof createHash>[] | undefined;

  /** Where the thread has not come up in time, what lies in the ring is digested here, and so is all that follows. */
  function requireWorking(): void {
    if (own !== undefined || Atomics.load(words, word.state) !== state.starting) return;
    Atomics.wait(words, word.state, state.starting, startWithinMs);
    const seen = Atomics.compareExchange(words, word.state, state.starting, state.notWanted);
    if (seen !== state.starting) return;
    own = kinds.map((kind) => createHash(kind));
    for (let slot = 0; slot < filled; slot++)
      digestHere(ring.subarray(slot * slotBytes).subarray(0, words[word.lengths + slot]));
  }

  function digestHere(chunk: Uint8Array): void {
    for (const hash of own ?? []) hash.update(chunk);
  }

  function waitForSlot(): void {
    for (;;) {
      const emptied = Atomics.load(words, word.emptied);
      if (filled - emptied < slots) return;
      if (Atomics.wait(words, word.emptied, emptied, slotWithinMs) === 'timed-out') throw died();
    }
  }

  return {
    update(chunk) {
      for (let done = 0; done < chunk.length; ) {
        if (filled === slots) requireWorking();
        if (own !== undefined) {
          digestHere(chunk.subarray(done));
          return;
        }
        waitForSlot();
        const slot = filled % slots;
        const part = chunk.subarray(done, done + slotBytes);
        ring.set(part, slot * slotBytes);
        words[word.lengths + slot] = part.length;
        done += part.length;
        filled += 1;
        Atomics.store(words, word.filled, filled);
        Atomics.notify(words, word.filled);
      }
    },
    finish() {
      requireWorking();
      if (own !== undefined) return own.map((hash) => hash.digest('hex'));
      Atomics.store(words, word.filled, -1 - filled);
      Atomics.notify(words, word.filled);
      // More than once: the thread's first call, that it has come up, may only reach us here.
      const last = slots * slotWithinMs;
      while (Atomics.load(words, word.state) === state.working) {
        if (Atomics.wait(words, word.state, state.working, last) === 'timed-out') throw died();
      }
      const results = Buffer.from(shared.results);
      return kinds.map((kind, index) => {
        const at = index * resultBytes;
        return results.toString('hex', at, at + createHash(kind).digest().length);
      });
    },
  };
}

function died(): Error {
  return new Error('the thread that digests has died');
}
