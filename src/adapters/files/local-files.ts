// Files on this computer. A write is whole or not at all: a temporary file beside the target, fsync, rename,
// fsync of the folder. What is new belongs to the user alone. Cards are not opened here.

import {
  closeSync,
  copyFileSync,
  fstatSync,
  fsyncSync,
  linkSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readSync,
  renameSync,
  rmSync,
  statfsSync,
  statSync,
  unlinkSync,
  utimesSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import type { FileEntry, FileFacts, Files, NewFile } from '../../ports/files.ts';
import { Failure } from '../../words/failure.ts';
import { formatBytes } from '../../words/size.ts';
import { fileFailure } from './file-failure.ts';
import { makeFolders } from './make-folders.ts';

const chunkBytes = 1024 * 1024;
const userOnlyFile = 0o600;
const userOnlyFolder = 0o700;

function kindOf(stat: {
  isFile(): boolean;
  isDirectory(): boolean;
  isBlockDevice(): boolean;
}): FileFacts['kind'] {
  if (stat.isFile()) return 'file';
  if (stat.isDirectory()) return 'folder';
  return stat.isBlockDevice() ? 'device' : 'other';
}

/** Opens a regular file to read; a folder, device or pipe is refused, without waiting on a pipe. */
function openRegular(path: string): { handle: number; sizeBytes: number } {
  let handle: number | undefined;
  try {
    const kind = kindOf(statSync(path));
    if (kind !== 'file') {
      throw new Failure({
        code: kind === 'folder' ? 'folder-not-file' : 'not-a-file',
        exit: 2,
        summary: kind === 'folder' ? 'This is a folder, not a file.' : 'This is not an ordinary file.',
        where: path,
        next: 'Give the path of one file.',
      });
    }
    handle = openSync(path, 'r');
    return { handle, sizeBytes: fstatSync(handle).size };
  } catch (error) {
    if (handle !== undefined) closeSync(handle);
    throw fileFailure(error, path, 'read');
  }
}

function writeAll(handle: number, bytes: Uint8Array): void {
  for (let done = 0; done < bytes.length; ) done += writeSync(handle, bytes, done);
}

/** The name of a file is on the disk only once its folder is; systems that cannot do this have no need to. */
export function flushFolder(folder: string): void {
  try {
    const handle = openSync(folder, 'r');
    try {
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
  } catch {
    // Windows opens no folder: its rename is journaled.
  }
}

function removeQuietly(path: string): void {
  try {
    unlinkSync(path);
  } catch {
    // It is gone, or stays as an unfinished temporary file that nothing reads.
  }
}

/** What systems say of a drive that has no hard links. */
const withoutLinks = ['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EISDIR'];

let temporaryCount = 0;

function temporaryBeside(path: string): string {
  temporaryCount += 1;
  return join(dirname(path), `.${basename(path).slice(0, 80)}.${process.pid}.${temporaryCount}.part`);
}

/** Writes the chunks beside the target, flushes, and lets `settle` give the file its name. */
function writeBeside(path: string, chunks: Iterable<Uint8Array>, settle: (temporary: string) => void): void {
  const temporary = temporaryBeside(path);
  try {
    const handle = openSync(temporary, 'wx', userOnlyFile);
    try {
      for (const chunk of chunks) writeAll(handle, chunk);
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    settle(temporary);
    flushFolder(dirname(path));
  } catch (error) {
    removeQuietly(temporary);
    throw fileFailure(error, path, 'write');
  }
}

/** A link fails where the name is taken; a rename would replace it. */
export function giveNewName(temporary: string, path: string): void {
  try {
    linkSync(temporary, path);
  } catch (error) {
    if (!withoutLinks.includes((error as NodeJS.ErrnoException).code ?? '')) throw error;
    copyToNewName(temporary, path);
  }
  unlinkSync(temporary);
}

/** Where there are no hard links (exFAT): a copy never replaces either, but is not there all at once. */
function copyToNewName(temporary: string, path: string): void {
  // Taken first, so that what is removed after a failure is ours.
  closeSync(openSync(path, 'wx', userOnlyFile));
  try {
    copyFileSync(temporary, path);
    const handle = openSync(path, 'r+');
    try {
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
  } catch (error) {
    removeQuietly(path);
    throw error;
  }
}

function startNewFile(path: string): NewFile {
  const temporary = temporaryBeside(path);
  let handle: number | undefined;
  const told = <T>(work: () => T): T => {
    try {
      return work();
    } catch (error) {
      discard();
      throw fileFailure(error, path, 'write');
    }
  };
  const discard = () => {
    if (handle !== undefined) closeSync(handle);
    handle = undefined;
    removeQuietly(temporary);
  };
  told(() => {
    handle = openSync(temporary, 'wx', userOnlyFile);
  });
  return {
    write: (chunk) => told(() => writeAll(handle as number, chunk)),
    keep() {
      told(() => {
        fsyncSync(handle as number);
        closeSync(handle as number);
        handle = undefined;
        giveNewName(temporary, path);
        flushFolder(dirname(path));
      });
    },
    discard,
  };
}

function readWhole(path: string, maxBytes: number): Uint8Array {
  const { handle, sizeBytes } = openRegular(path);
  try {
    if (sizeBytes > maxBytes) {
      throw new Failure({
        code: 'too-large',
        exit: 2,
        summary: 'The file is larger than this kind of file may be.',
        seen: `${formatBytes(sizeBytes)} bytes`,
        expected: `${formatBytes(maxBytes)} bytes at most`,
        where: path,
        next: 'Check that this is the file you meant.',
      });
    }
    const bytes = new Uint8Array(sizeBytes);
    let filled = 0;
    while (filled < sizeBytes) {
      const got = readSync(handle, bytes, filled, sizeBytes - filled, filled);
      if (got === 0) break;
      filled += got;
    }
    return bytes.subarray(0, filled);
  } catch (error) {
    throw fileFailure(error, path, 'read');
  } finally {
    closeSync(handle);
  }
}

function* chunksOf(path: string): Iterable<Uint8Array> {
  const { handle } = openRegular(path);
  try {
    const buffer = new Uint8Array(chunkBytes);
    for (;;) {
      let got: number;
      try {
        got = readSync(handle, buffer, 0, chunkBytes, null);
      } catch (error) {
        throw fileFailure(error, path, 'read');
      }
      if (got === 0) return;
      yield buffer.subarray(0, got);
    }
  } finally {
    closeSync(handle);
  }
}

function freeBytes(folder: string): number | undefined {
  for (let at = resolve(folder); ; at = dirname(at)) {
    try {
      const { bavail, bsize } = statfsSync(at);
      return bavail * bsize;
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ENOENT' || at === dirname(at)) return undefined;
    }
  }
}

export const localFiles: Files = {
  absolute: (path) => resolve(path),

  facts(path) {
    try {
      const stat = statSync(path, { bigint: true });
      const { dev, ino, size, mtimeNs, ctimeNs } = stat;
      return {
        kind: kindOf(stat),
        sizeBytes: Number(size),
        modifiedMs: Number(mtimeNs / 1000n) / 1000,
        changedMs: Number(ctimeNs / 1000n) / 1000,
        stamp: [dev, ino, size, mtimeNs, ctimeNs].join(':'),
      };
    } catch (error) {
      const code = (error as NodeJS.ErrnoException).code;
      if (code === 'ENOENT' || code === 'ENOTDIR') return undefined;
      throw fileFailure(error, path, 'read');
    }
  },

  freeBytes,
  readBytes: readWhole,
  readText: (path, maxBytes) => new TextDecoder().decode(readWhole(path, maxBytes)),
  chunks: chunksOf,

  list(folder) {
    try {
      return readdirSync(folder, { withFileTypes: true })
        .map((entry): FileEntry => ({ name: entry.name, kind: kindOf(entry) }))
        .sort((a, b) => (a.name < b.name ? -1 : 1));
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
      throw fileFailure(error, folder, 'read');
    }
  },

  makeFolder(path) {
    try {
      const first = makeFolders(path, userOnlyFolder);
      if (first === undefined) return;
      // Each new folder is on the disk once the one above it is: from the deepest to the one that was there.
      const top = dirname(resolve(first));
      for (let above = dirname(resolve(path)); ; above = dirname(above)) {
        flushFolder(above);
        if (above === top || above === dirname(above)) return;
      }
    } catch (error) {
      throw fileFailure(error, path, 'write');
    }
  },

  write(path, content) {
    const bytes = typeof content === 'string' ? new TextEncoder().encode(content) : content;
    writeBeside(path, [bytes], (temporary) => renameSync(temporary, path));
  },

  writeNew(path, chunks) {
    writeBeside(path, chunks, (temporary) => giveNewName(temporary, path));
  },

  startNew: startNewFile,

  setModified(path, atMs) {
    try {
      utimesSync(path, atMs / 1000, atMs / 1000);
    } catch (error) {
      throw fileFailure(error, path, 'write');
    }
  },

  remove(path) {
    try {
      unlinkSync(path);
    } catch (error) {
      throw fileFailure(error, path, 'write');
    }
  },

  makeTemporaryFolder() {
    const parent = tmpdir();
    try {
      const path = mkdtempSync(join(parent, 'slotproof-'));
      return { path, remove: () => rmSync(path, { recursive: true, force: true }) };
    } catch (error) {
      throw fileFailure(error, parent, 'write');
    }
  },
};
