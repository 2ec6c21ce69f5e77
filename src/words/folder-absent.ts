// What is told where a new file's folder is not there. That no file of that name is there would be no news.

import { Failure } from './failure.ts';
import { printable } from './printable.ts';

/** `path`: of the file that was to be written. */
export function folderAbsent(folder: string, path: string, cause?: unknown): Failure {
  return new Failure(
    {
      code: 'file-absent',
      exit: 2,
      summary: `The folder ${printable(folder, 400)} does not exist.`,
      where: path,
      next: 'Make it, or give another folder.',
    },
    cause,
  );
}
