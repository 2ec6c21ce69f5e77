// A part of a check that runs on a second thread, and its answer. Which part is worth one, the parts say.

import type { Worker } from 'node:worker_threads';

/** Below that a thread takes longer to come up than its work. */
export const worthThreadEntries = 20_000;

/** The thread's one message. undefined: it did not come up, or died; the caller's own thread does its work then. */
export function answerOf<Answer>(start: () => Worker): Promise<Answer | undefined> {
  return new Promise((resolve) => {
    try {
      const worker = start();
      worker.once('message', resolve);
      worker.once('error', () => resolve(undefined));
      worker.once('exit', () => resolve(undefined));
    } catch {
      resolve(undefined);
    }
  });
}
