// Turns what the operating system says of a file into the tool's own words: the fact, the place, one next step.

import { statSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { Failure, type FailureFacts } from '../../words/failure.ts';
import { folderAbsent } from '../../words/folder-absent.ts';

type Telling = Pick<FailureFacts, 'code' | 'exit' | 'summary' | 'next'>;

const tellings: Readonly<Record<string, Telling>> = {
  ENOENT: { code: 'file-absent', exit: 2, summary: 'There is no such file.', next: 'Check the path.' },
  ENOTDIR: { code: 'file-absent', exit: 2, summary: 'There is no such file.', next: 'Check the path.' },
  EISDIR: {
    code: 'folder-not-file',
    exit: 2,
    summary: 'This is a folder, not a file.',
    next: 'Give the path of one file.',
  },
  EEXIST: {
    code: 'file-exists',
    exit: 2,
    summary: 'There is a file of that name already; nothing is replaced.',
    next: 'Choose another name, or move the old file away.',
  },
  EACCES: {
    code: 'no-permission',
    exit: 2,
    summary: 'This user may not do that here.',
    next: 'Choose a place that belongs to you, or ask whoever looks after this computer.',
  },
  ELOOP: { code: 'file-absent', exit: 2, summary: 'The path leads in a circle.', next: 'Check the path.' },
  ENAMETOOLONG: {
    code: 'bad-path',
    exit: 2,
    summary: 'The name is too long.',
    next: 'Choose a shorter name.',
  },
  EROFS: {
    code: 'write-protected',
    exit: 6,
    summary: 'The drive is write-protected.',
    next: 'Choose another place, or take the write protection off.',
  },
  ENOSPC: {
    code: 'disk-full',
    exit: 6,
    summary: 'The drive is full.',
    next: 'Make room, then run the same again.',
  },
  EFBIG: {
    code: 'disk-full',
    exit: 6,
    summary: 'The drive does not take a file of this size.',
    next: 'Choose another drive, then run the same again.',
  },
};

const otherwise: Telling = {
  code: 'drive-failed',
  exit: 6,
  summary: 'The drive did not do what was asked.',
  next: 'Try once more; if it fails again, use another drive.',
};

function isFolder(path: string): boolean {
  try {
    return statSync(path).isDirectory();
  } catch {
    return false;
  }
}

/** A Failure for an error of node:fs; a Failure passes through, and what is no system error is left a bug. */
export function fileFailure(error: unknown, path: string, doing: 'read' | 'write'): unknown {
  const code = (error as NodeJS.ErrnoException | null)?.code;
  if (error instanceof Failure || typeof code !== 'string' || !/^E[A-Z0-9]+$/.test(code)) return error;
  if (doing === 'write' && (code === 'ENOENT' || code === 'ENOTDIR')) {
    const folder = dirname(resolve(path));
    if (!isFolder(folder)) return folderAbsent(folder, path, error);
  }
  const telling = tellings[code === 'EPERM' ? 'EACCES' : code] ?? otherwise;
  return new Failure({ ...telling, seen: `${code} on ${doing}`, where: path }, error);
}
