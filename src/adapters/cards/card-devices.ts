// Cards in a reader as Linux shows them: block devices, opened whole, written and read past the system's memory, so that
// a comparison is with the medium. Never opens to write what is mounted or held by anybody else, never follows a
// symbolic link to write, and decides nothing: which drive may be written to is the guard's question.

import { createHash } from 'node:crypto';
import { closeSync, constants, existsSync, fstatSync, fsyncSync, lstatSync, openSync } from 'node:fs';
import { resolve } from 'node:path';
import type { BlockReader, Blocks, CardIdentity, Cards } from '../../ports/blocks.ts';
import { Failure } from '../../words/failure.ts';
import { fileFailure } from '../files/file-failure.ts';
import { lockCard } from './card-lock.ts';
import { deviceFacts, notThisSystem } from './device-facts.ts';
import { alignedMemory, DirectSectors } from './direct-sectors.ts';

const identityBytes = 64 * 1024;

/** Each as different systems and readers say it; all mean that the card does not answer any more. */
const gone = ['ENODEV', 'ENXIO', 'ENOMEDIUM', 'ENOENT', 'ESHUTDOWN'];

function cardFailure(error: unknown, path: string, doing: 'read' | 'write'): unknown {
  const code = (error as NodeJS.ErrnoException | null)?.code;
  if (error instanceof Failure || typeof code !== 'string') return error;
  const seen = `${code} on ${doing}`;
  const where = path;
  if (gone.includes(code)) {
    const next = 'Put the card back in, then run the same command again.';
    return new Failure(
      { code: 'card-gone', exit: 6, summary: 'The card is gone.', seen, where, next },
      error,
    );
  }
  if (code === 'EBUSY') {
    const summary = 'The card is mounted, or something else uses it.';
    const next = 'Close whatever uses it, eject it in the file manager, then run the same command again.';
    return new Failure({ code: 'card-busy', exit: 5, summary, seen, where, next }, error);
  }
  if (code === 'EACCES' || code === 'EPERM') {
    const summary = 'This user may not open the card itself.';
    const next =
      'Run the command with administrator rights (sudo), or be let into the group that owns the device.';
    return new Failure({ code: 'no-permission', exit: 2, summary, seen, where, next }, error);
  }
  if (code === 'EROFS') return writeProtected(path, error);
  const failure = fileFailure(error, path, doing);
  if (!(failure instanceof Failure)) return failure;
  const summary = doing === 'read' ? 'The card cannot be read.' : 'The card did not take what was written.';
  const next = 'Try once more, in another reader if there is one; if it fails again, take another card.';
  return new Failure({ code: 'card-failed', exit: 6, summary, seen, where, next }, error);
}

function writeProtected(path: string, cause?: unknown): Failure {
  return new Failure(
    {
      code: 'write-protected',
      exit: 6,
      summary: 'The card is write-protected.',
      where: path,
      next: 'Slide the lock on its edge back, or take another card; then run the same again.',
    },
    cause,
  );
}

function openDevice(path: string, flags: number, doing: 'read' | 'write'): number {
  if (constants.O_DIRECT === undefined) throw notThisSystem(path);
  try {
    return openSync(path, flags | constants.O_DIRECT);
  } catch (error) {
    throw cardFailure(error, path, doing);
  }
}

function requireDevice(path: string): void {
  try {
    const stat = lstatSync(path);
    if (stat.isBlockDevice()) return;
  } catch (error) {
    throw cardFailure(error, path, 'read');
  }
  throw new Failure({
    code: 'card-is-a-link',
    exit: 5,
    summary: 'This is a link or no device; what it leads to could change between the question and the write.',
    where: path,
    next: 'Name the device itself, as "slotproof cards" shows it.',
  });
}

function blocksOf(handle: number, path: string, unlock = () => {}): Blocks {
  const facts = deviceFacts(fstatSync(handle, { bigint: true }), path);
  const { sizeBytes, sectorBytes, device } = facts;
  const memory = alignedMemory(handle, sectorBytes);
  if (memory === undefined) {
    throw new Failure({
      code: 'no-direct-reading',
      exit: 6,
      summary: 'What this reader gives back cannot be told from what the computer remembers.',
      where: path,
      next: 'Put the card into another reader.',
    });
  }
  const direct = new DirectSectors(handle, sectorBytes, memory);
  const requireInside = (offsetBytes: number, lengthBytes: number): void => {
    if (offsetBytes >= 0 && offsetBytes + lengthBytes <= sizeBytes) return;
    throw new RangeError(`bytes ${offsetBytes}+${lengthBytes} lie outside the card of ${sizeBytes} bytes`);
  };
  const doing = (what: 'read' | 'write', act: () => void): void => {
    try {
      act();
    } catch (error) {
      throw cardFailure(error, path, what);
    }
  };
  return {
    sizeBytes,
    sectorBytes,
    device,
    proof: 'direct',
    read(offsetBytes, target) {
      requireInside(offsetBytes, target.length);
      doing('read', () => direct.read(offsetBytes, target));
    },
    write(offsetBytes, source) {
      requireInside(offsetBytes, source.length);
      doing('write', () => direct.write(offsetBytes, source));
    },
    flush: () => doing('write', () => fsyncSync(handle)),
    close() {
      try {
        doing('write', () => closeSync(handle));
      } finally {
        unlock();
      }
    },
  };
}

function opened(path: string, flags: number, doing: 'read' | 'write', lock: boolean): Blocks {
  const handle = openDevice(path, flags, doing);
  let unlock: (() => void) | undefined;
  try {
    const facts = deviceFacts(fstatSync(handle, { bigint: true }), path);
    if (doing === 'write' && facts.readOnly) throw writeProtected(path);
    if (lock) unlock = lockCard(facts.device, path);
    return blocksOf(handle, path, unlock);
  } catch (error) {
    closeSync(handle);
    unlock?.();
    throw cardFailure(error, path, doing);
  }
}

export const cardDevices: Cards = {
  exists: (path) => existsSync(path),

  isWriteProtected(path) {
    const handle = openDevice(path, constants.O_RDONLY, 'read');
    try {
      return deviceFacts(fstatSync(handle, { bigint: true }), path).readOnly;
    } finally {
      closeSync(handle);
    }
  },

  openToRead: (path): BlockReader & { close(): void } => opened(path, constants.O_RDONLY, 'read', false),

  openToWrite(path) {
    requireDevice(path);
    // Exclusive: the kernel refuses it as long as anything of the card is mounted, and refuses mounts meanwhile.
    return opened(path, constants.O_RDWR | constants.O_EXCL | constants.O_NOFOLLOW, 'write', true);
  },

  create(path) {
    throw new Failure({
      code: 'card-exists',
      exit: 5,
      summary: 'This is a device; no card image file is made in its place.',
      where: path,
      next: 'Leave --size out to prepare that card, or choose another name.',
    });
  },

  identify(path): CardIdentity {
    const blocks = opened(path, constants.O_RDONLY, 'read', false);
    try {
      const first = new Uint8Array(Math.min(identityBytes, blocks.sizeBytes));
      blocks.read(0, first);
      return {
        path: resolve(path),
        sizeBytes: blocks.sizeBytes,
        device: blocks.device,
        firstSectorsSha256: createHash('sha256').update(first).digest('hex'),
      };
    } finally {
      blocks.close();
    }
  },
};
