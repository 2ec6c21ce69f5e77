// Where work that never waits for anything lets Ctrl-C in: a signal is only heard between two turns of the event loop.

import { Failure } from '../words/failure.ts';
import type { Context } from './context.ts';

/** Of so many small pieces of work at a time: a tenth of a second or less. */
export const piecesBetweenStops = 1000;

/** Throws, with exit 130, where the person has stopped it. `summary`: what became of it, such as "nothing was taken in". */
export async function stopPoint({ stop }: Pick<Context, 'stop'>, summary: string): Promise<void> {
  await new Promise((resolve) => setImmediate(resolve));
  if (!stop.aborted) return;
  throw new Failure({
    code: 'stopped',
    exit: 130,
    summary: `Stopped: ${summary}.`,
    next: 'Run the same command again when you are ready.',
  });
}
