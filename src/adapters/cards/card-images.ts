// Card image files (`*.img`), which stand in for cards: opened as a row of 512-byte sectors. Never follows a
// symbolic link to write, never opens a device or a folder. Drives are another adapter's work.

import { createHash } from 'node:crypto';
import {
  accessSync,
  closeSync,
  constants,
  existsSync,
  fstatSync,
  fsync,
  fsyncSync,
  ftruncateSync,
  lstatSync,
  openSync,
  readSync,
  statSync,
  unlinkSync,
  writeSync,
} from 'node:fs';
import { resolve } from 'node:path';
import type { BlockReader, Blocks, CardIdentity, Cards } from '../../ports/blocks.ts';
import { Failure } from '../../words/failure.ts';
import { fileFailure } from '../files/file-failure.ts';
import { lockCard } from './card-lock.ts';

const sectorBytes = 512;
/** Sector 0 and enough after it to hold a boot region, its copy and the first table sectors. */
const identityBytes = 64 * 1024;

function requireCardImage(path: string): void {
  let stat: ReturnType<typeof statSync>;
  try {
    stat = statSync(path);
  } catch (error) {
    throw fileFailure(error, path, 'read');
  }
  if (stat.isFile() && /\.img$/i.test(path)) return;
  const what = stat.isDirectory()
    ? 'a folder'
    : stat.isFile()
      ? 'a file of another kind'
      : 'a device or a link to one';
  throw new Failure({
    code: 'not-a-card-image',
    exit: stat.isFile() || stat.isDirectory() ? 2 : 5,
    summary: 'This is no card image file.',
    seen: what,
    expected: 'a file whose name ends in .img',
    where: path,
    next: 'Give a card image file, or the card itself: its device or where it is mounted, as "slotproof cards" shows it.',
  });
}

function outside(offsetBytes: number, lengthBytes: number, sizeBytes: number): RangeError {
  return new RangeError(`bytes ${offsetBytes}+${lengthBytes} lie outside the card of ${sizeBytes} bytes`);
}

function cardGone(error: unknown, path: string, doing: 'read' | 'write'): unknown {
  const failure = fileFailure(error, path, doing);
  if (!(failure instanceof Failure) || failure.facts.exit === 6) return failure;
  return new Failure({ ...failure.facts, code: 'card-failed', exit: 6 }, error);
}

function deviceOf({ dev, ino }: { readonly dev: bigint; readonly ino: bigint }): string {
  return `${dev}:${ino}`;
}

/** `unlock`: called once it is closed. */
function blocksOf(handle: number, path: string, unlock = () => {}): Blocks {
  const stat = fstatSync(handle, { bigint: true });
  const sizeBytes = Number(stat.size);
  return {
    sizeBytes,
    sectorBytes,
    device: deviceOf(stat),
    read(offsetBytes, target) {
      if (offsetBytes < 0 || offsetBytes + target.length > sizeBytes)
        throw outside(offsetBytes, target.length, sizeBytes);
      try {
        for (let done = 0; done < target.length; ) {
          const got = readSync(handle, target, done, target.length - done, offsetBytes + done);
          if (got === 0) throw Object.assign(new Error('the card image ends early'), { code: 'EIO' });
          done += got;
        }
      } catch (error) {
        throw cardGone(error, path, 'read');
      }
    },
    write(offsetBytes, source) {
      if (offsetBytes < 0 || offsetBytes + source.length > sizeBytes)
        throw outside(offsetBytes, source.length, sizeBytes);
      try {
        for (let done = 0; done < source.length; ) {
          done += writeSync(handle, source, done, source.length - done, offsetBytes + done);
        }
      } catch (error) {
        throw cardGone(error, path, 'write');
      }
    },
    flush() {
      try {
        fsyncSync(handle);
      } catch (error) {
        throw cardGone(error, path, 'write');
      }
    },
    flushSoon: () =>
      new Promise((resolve, reject) => {
        fsync(handle, (error) => (error === null ? resolve() : reject(cardGone(error, path, 'write'))));
      }),
    close() {
      try {
        closeSync(handle);
      } catch (error) {
        throw cardGone(error, path, 'write');
      } finally {
        unlock();
      }
    },
  };
}

/** Closes the card again where it is in use. */
function lockedBlocks(handle: number, path: string): Blocks {
  try {
    const unlock = lockCard(deviceOf(fstatSync(handle, { bigint: true })), path);
    return blocksOf(handle, path, unlock);
  } catch (error) {
    closeSync(handle);
    throw error;
  }
}

function openImage(path: string, flags: number, doing: 'read' | 'write', mode?: number): number {
  try {
    return openSync(path, flags, mode);
  } catch (error) {
    throw cardGone(error, path, doing);
  }
}

function requireWritable(path: string): void {
  try {
    if (lstatSync(path).isSymbolicLink()) {
      throw new Failure({
        code: 'card-is-a-link',
        exit: 5,
        summary:
          'This path is a symbolic link; what it leads to could change between the question and the write.',
        where: path,
        next: 'Give the path of the card image file itself.',
      });
    }
    accessSync(path, constants.W_OK);
    // The owner's own write bit stands in for a card's lock; an administrator would pass the check above.
    if ((statSync(path).mode & 0o200) === 0)
      throw Object.assign(new Error('write-protected'), { code: 'EACCES' });
  } catch (error) {
    if (error instanceof Failure) throw error;
    throw new Failure(
      {
        code: 'write-protected',
        exit: 6,
        summary: 'The card is write-protected.',
        where: path,
        next: 'Take the write protection off, then run the same again.',
      },
      error,
    );
  }
}

export const cardImages: Cards = {
  exists: (path) => existsSync(path),

  isWriteProtected(path) {
    try {
      requireWritable(path);
      return false;
    } catch (error) {
      return error instanceof Failure && error.facts.code === 'write-protected';
    }
  },

  openToRead(path): BlockReader & { close(): void } {
    requireCardImage(path);
    return blocksOf(openImage(path, constants.O_RDONLY, 'read'), path);
  },

  openToWrite(path) {
    requireCardImage(path);
    requireWritable(path);
    return lockedBlocks(openImage(path, constants.O_RDWR | (constants.O_NOFOLLOW ?? 0), 'write'), path);
  },

  create(path, sizeBytes) {
    if (!/\.img$/i.test(path)) {
      throw new Failure({
        code: 'not-a-card-image',
        exit: 2,
        summary: 'A card image file needs a name that ends in .img.',
        where: path,
        next: 'Choose another name.',
      });
    }
    let handle: number;
    try {
      handle = openSync(path, constants.O_RDWR | constants.O_CREAT | constants.O_EXCL, 0o666);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'EEXIST') {
        throw new Failure({
          code: 'card-exists',
          exit: 5,
          summary: 'There is a file of that name already; it is not replaced.',
          where: path,
          next: 'Leave --size out to prepare that card, or choose another name.',
        });
      }
      throw fileFailure(error, path, 'write');
    }
    try {
      ftruncateSync(handle, sizeBytes);
    } catch (error) {
      closeSync(handle);
      unlinkSync(path);
      throw cardGone(error, path, 'write');
    }
    return lockedBlocks(handle, path);
  },

  identify(path): CardIdentity {
    requireCardImage(path);
    const handle = openImage(path, constants.O_RDONLY, 'read');
    try {
      const stat = fstatSync(handle, { bigint: true });
      const first = new Uint8Array(Math.min(identityBytes, Number(stat.size)));
      for (let done = 0; done < first.length; ) {
        const got = readSync(handle, first, done, first.length - done, done);
        if (got === 0) break;
        done += got;
      }
      return {
        path: resolve(path),
        sizeBytes: Number(stat.size),
        device: deviceOf(stat),
        firstSectorsSha256: createHash('sha256').update(first).digest('hex'),
      };
    } catch (error) {
      throw cardGone(error, path, 'read');
    } finally {
      closeSync(handle);
    }
  },
};
