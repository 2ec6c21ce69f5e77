// Standard output that took no more: what is said of it on standard error, and how the process ends then. What the
// command did before it answered stands; only the answer is lost.

import { Failure } from '../words/failure.ts';
import { renderFailure } from './failure-text.ts';

const noRoom = new Set(['ENOSPC', 'EDQUOT', 'EFBIG']);

/** Of an error of the system's; undefined where it is none. */
export function outputFailure({ code }: NodeJS.ErrnoException): Failure | undefined {
  if (code === undefined || !/^E[A-Z0-9]+$/.test(code)) return undefined;
  const isFull = noRoom.has(code);
  return new Failure({
    code: isFull ? 'output-full' : 'output-failed',
    exit: 6,
    summary: isFull
      ? 'The answer was not written in full: no room is left where standard output goes.'
      : `The answer was not written in full: standard output failed (${code}).`,
    next: 'Send the output elsewhere. What the command did stands: look at the record before you log anything again.',
  });
}

/** Never returns. */
export function endWithoutOutput(error: NodeJS.ErrnoException, columns: number): never {
  // A reader that has seen enough closes the pipe: that is no error.
  if (error.code === 'EPIPE') process.exit(process.exitCode ?? 0);
  const failure = outputFailure(error);
  if (failure === undefined) throw error;
  process.stderr.write(`${renderFailure(failure, { columns, colour: false })}\n`);
  process.exit(failure.facts.exit);
}
