// A file that a command is asked to make, looked at before anything is done for it: its folder is there, and nothing of
// that name is. Writes nothing.

import type { Files } from '../ports/files.ts';
import { Failure } from '../words/failure.ts';
import { folderAbsent } from '../words/folder-absent.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';

/** `path` absolute. */
export function requireFolderOf(files: Files, path: string): void {
  const folder = files.absolute(`${path}/..`);
  if (files.facts(folder)?.kind !== 'folder') throw folderAbsent(folder, path);
}

/** Nothing is ever replaced: said before anything is made. */
export function requireNewFile({ files }: Context, given: OptionValues[string]): string | undefined {
  if (given === undefined) return undefined;
  const path = files.absolute(String(given));
  const there = files.facts(path);
  if (there === undefined) {
    requireFolderOf(files, path);
    return path;
  }
  const isFolder = there.kind === 'folder';
  throw new Failure({
    code: isFolder ? 'folder-not-file' : 'file-exists',
    exit: 2,
    summary: isFolder
      ? 'This is a folder, not a file.'
      : 'There is a file of that name already; nothing is replaced.',
    where: path,
    next: isFolder
      ? 'Give the name of a new file with --out.'
      : 'Choose another name, or move the old file away.',
  });
}
