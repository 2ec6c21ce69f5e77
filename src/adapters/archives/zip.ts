// Zip archives through yauzl: listed and read member by member, streamed, never unpacked to disk. Names are
// given as the archive states them; nothing here makes a path of one. Neither writes archives nor opens
// encrypted ones.

import { closeSync, openSync, readSync } from 'node:fs';
import yauzl from 'yauzl';
import { crc32 } from '../../bytes/crc32.ts';
import type { Archive, ArchiveMember, Archives } from '../../ports/archives.ts';
import { Failure } from '../../words/failure.ts';
import { printable } from '../../words/printable.ts';
import { fileFailure } from '../files/file-failure.ts';

const maxMembers = 10_000;
/** APPNOTE 4.3.7 and 4.3.16: a local file header, or the end record of an archive without members. */
const signatures = new Set([0x504b0304, 0x504b0506]);
const methodStored = 0;
const methodDeflated = 8;

export const zipArchives: Archives = {
  async open(path) {
    if (!looksLikeZip(path)) return undefined;
    let zip: yauzl.ZipFile;
    try {
      zip = await yauzl.openPromise(path, { autoClose: false, decodeStrings: false, lazyEntries: true });
    } catch (error) {
      throw damaged(error, path);
    }
    try {
      return archiveOf(zip, await entriesOf(zip, path), path);
    } catch (error) {
      zip.close();
      throw damaged(error, path);
    }
  },
};

function looksLikeZip(path: string): boolean {
  let handle: number | undefined;
  try {
    handle = openSync(path, 'r');
    const head = Buffer.alloc(4);
    return readSync(handle, head, 0, 4, 0) === 4 && signatures.has(head.readUInt32BE(0));
  } catch (error) {
    throw fileFailure(error, path, 'read');
  } finally {
    if (handle !== undefined) closeSync(handle);
  }
}

async function entriesOf(zip: yauzl.ZipFile, path: string): Promise<yauzl.Entry[]> {
  if (zip.entryCount > maxMembers) throw tooMany(path);
  const entries: yauzl.Entry[] = [];
  for await (const entry of zip.eachEntry()) {
    if (entries.length >= maxMembers) throw tooMany(path);
    entries.push(entry);
  }
  return entries;
}

function archiveOf(zip: yauzl.ZipFile, entries: readonly yauzl.Entry[], path: string): Archive {
  const entryOf = new Map<ArchiveMember, yauzl.Entry>();
  for (const entry of entries) {
    const name = yauzl.getFileNameLowLevel(
      entry.generalPurposeBitFlag,
      entry.fileNameRaw,
      entry.extraFields,
      true,
    );
    if (!name.endsWith('/')) entryOf.set({ name, bytes: entry.uncompressedSize }, entry);
  }
  return {
    members: [...entryOf.keys()],
    open(member) {
      const entry = entryOf.get(member);
      if (entry === undefined) throw new RangeError('not a member of this archive');
      return readMember(zip, entry, member, path);
    },
    close: () => zip.close(),
  };
}

async function* readMember(
  zip: yauzl.ZipFile,
  entry: yauzl.Entry,
  member: ArchiveMember,
  path: string,
): AsyncIterable<Uint8Array> {
  const where = `${path}: ${printable(member.name)}`;
  requireReadable(entry, where);
  let count = 0;
  let check = 0;
  try {
    // yauzl ends the stream with an error as soon as it holds more or less than the archive states.
    for await (const chunk of await zip.openReadStreamPromise(entry)) {
      count += chunk.length;
      check = crc32(chunk, check);
      yield chunk;
    }
  } catch (error) {
    throw damaged(error, where);
  }
  if (count !== member.bytes || check !== entry.crc32) {
    throw damaged(new Error('the contents do not agree with the checksum of the archive'), where);
  }
}

function requireReadable(entry: yauzl.Entry, where: string): void {
  if (entry.isEncrypted()) {
    throw new Failure({
      code: 'archive-encrypted',
      exit: 2,
      summary: 'The file in the archive is locked with a password.',
      where,
      next: 'Unpack it with the password that the maker gave, then use the unpacked file.',
    });
  }
  if (entry.compressionMethod !== methodStored && entry.compressionMethod !== methodDeflated) {
    throw new Failure({
      code: 'archive-method',
      exit: 2,
      summary: 'The file in the archive is packed in a way that is not read here.',
      seen: `method ${entry.compressionMethod}`,
      expected: 'stored or deflated',
      where,
      next: 'Unpack it with another program, then use the unpacked file.',
    });
  }
}

/** What yauzl and zlib say of a damaged archive; failures, and errors of the drive, stay what they are. */
function damaged(error: unknown, where: string): unknown {
  const code = (error as NodeJS.ErrnoException | null)?.code;
  if (typeof code === 'string' && /^E[A-Z0-9]+$/.test(code)) return fileFailure(error, where, 'read');
  if (error instanceof Failure || !(error instanceof Error)) return error;
  return new Failure(
    {
      code: 'archive-damaged',
      exit: 2,
      summary: 'The archive is damaged, or only part of it is there.',
      seen: printable(error.message, 160),
      where,
      next: 'Download it again.',
    },
    error,
  );
}

function tooMany(path: string): Failure {
  return new Failure({
    code: 'archive-too-many-members',
    exit: 2,
    summary: 'The archive holds more files than a download of firmware ever does.',
    expected: `${maxMembers} at most`,
    where: path,
    next: 'Check that this is the download. If it is, unpack it and use the firmware file itself.',
  });
}
