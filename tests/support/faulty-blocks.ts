// A card that fails to order, at its n-th write: refuses it, tears it, drops it, flips a bit of it, lands it late, dies
// in silence, or loses power with its cache half written; or at its n-th flush or read. Writes stay in the cache until a
// flush; a sector of 512 bytes lands whole or not at all. After a failure that is noticed the card is gone. The bytes
// that are left are what a later look would find.

import type { Blocks } from '../../src/ports/blocks.ts';
import { Failure } from '../../src/words/failure.ts';

export type FaultKind =
  /** The n-th write is refused; all before it are on the card. */
  | 'fail'
  /** Some sectors of the n-th write land, then the card is gone. */
  | 'tear'
  /** Power dies after the n-th write: of all that was not flushed, some sectors have landed, in any order. */
  | 'power'
  /** The n-th write is lost in silence; everything else works. */
  | 'drop'
  /** From the n-th on every write is lost in silence. */
  | 'dead'
  /** The n-th write lands with one bit wrong, in silence. */
  | 'flip'
  /** The n-th write lands after the one that follows it, in silence, whatever flush lies between. */
  | 'reorder'
  /** The n-th flush fails: of all that was to be on the card, some sectors have landed. */
  | 'flush-fails'
  /** The n-th read fails, and the card is gone, as after a flush that failed. */
  | 'read-fails';

export const faultKinds: readonly FaultKind[] = [
  'fail',
  'tear',
  'power',
  'drop',
  'dead',
  'flip',
  'reorder',
  'flush-fails',
  'read-fails',
];

export interface Fault {
  readonly kind: FaultKind;
  /** From 1. */
  readonly at: number;
  readonly seed: number;
  /** The card says that it flushed, and did not: no order of writes can help, and the tests must notice. */
  readonly flushLies?: boolean;
}

export interface FaultyBlocks extends Blocks {
  /** The fault has happened. */
  readonly tripped: () => boolean;
}

const sectorBytes = 512;

interface Pending {
  readonly offset: number;
  readonly bytes: Uint8Array;
}

/** Numbers from 0 to 1 that are the same for the same seed (xorshift, 32 bits). */
export function seededNumbers(seed: number): () => number {
  let state = (seed * 2_654_435_761 + 1) | 0 || 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}

export function faultyBlocks(medium: Uint8Array, fault: Fault | undefined): FaultyBlocks {
  const random = seededNumbers(fault === undefined ? 1 : fault.seed * 7919 + fault.at);
  let pending: Pending[] = [];
  let late: Pending | undefined;
  let count = 0;
  const counted = fault?.kind === 'flush-fails' ? 'flush' : fault?.kind === 'read-fails' ? 'read' : 'write';
  let gone = false;
  let silent = false;

  const requireThere = (): void => {
    if (!gone) return;
    throw new Failure({
      code: 'card-failed',
      exit: 6,
      summary: 'The card failed.',
      next: 'Take another card.',
    });
  };
  const requireInside = (offset: number, length: number): void => {
    if (offset < 0 || offset + length > medium.length) throw new RangeError(`${offset}+${length} is outside`);
  };
  const land = (writes: readonly Pending[], chosen: () => boolean): void => {
    for (const { offset, bytes } of writes) {
      for (let at = 0; at < bytes.length; ) {
        const within = Math.min(bytes.length - at, sectorBytes - ((offset + at) % sectorBytes));
        if (chosen()) medium.set(bytes.subarray(at, at + within), offset + at);
        at += within;
      }
    }
  };
  const settle = (): void => {
    land(pending, () => true);
    pending = [];
  };

  /** Of what was not flushed some sectors have landed, in any order. */
  const loseTheRest = (): void => {
    land(pending, () => random() < 0.5);
    pending = [];
    gone = true;
    requireThere();
  };
  const isTime = (what: typeof counted): boolean => {
    if (what !== counted) return false;
    count++;
    return count === fault?.at;
  };

  return {
    sizeBytes: medium.length,
    sectorBytes,
    device: '1:1',
    tripped: () => fault !== undefined && count >= fault.at,
    read(offset, target) {
      requireThere();
      requireInside(offset, target.length);
      if (isTime('read')) loseTheRest();
      target.set(medium.subarray(offset, offset + target.length));
      // What is still in the card's cache is read from there.
      for (const { offset: from, bytes } of pending) {
        const start = Math.max(from, offset);
        const end = Math.min(from + bytes.length, offset + target.length);
        if (start < end) target.set(bytes.subarray(start - from, end - from), start - offset);
      }
    },
    write(offset, source) {
      requireThere();
      requireInside(offset, source.length);
      const write = { offset, bytes: source.slice() };
      const isFaulty = isTime('write');
      if (silent) return;
      if (fault === undefined || !isFaulty) {
        pending.push(write);
        if (late !== undefined) pending.push(late);
        late = undefined;
        return;
      }
      switch (fault.kind) {
        case 'flip': {
          const place = Math.floor(random() * write.bytes.length);
          write.bytes[place] = (write.bytes[place] ?? 0) ^ (1 << Math.floor(random() * 8));
          pending.push(write);
          return;
        }
        case 'reorder':
          late = write;
          return;
        case 'drop':
          return;
        case 'dead':
          settle();
          silent = true;
          return;
        case 'fail':
          settle();
          break;
        case 'tear':
          settle();
          land([write], () => random() < 0.5);
          break;
        default:
          pending.push(write);
          loseTheRest();
      }
      gone = true;
      requireThere();
    },
    flush() {
      requireThere();
      if (isTime('flush')) loseTheRest();
      if (fault?.flushLies !== true) settle();
    },
    close() {
      // A card that is left in its slot writes its cache out in the end.
      if (late !== undefined) pending.push(late);
      if (!gone) settle();
    },
  };
}
