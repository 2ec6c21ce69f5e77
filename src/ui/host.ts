// The process as the command line sees it: streams, environment, the interrupt key, the clock. Handed in, so that
// a test can be the host.

import type { Clock } from '../ports/clock.ts';

export interface OutputStream {
  readonly isTTY?: boolean;
  readonly columns?: number;
  write(text: string): unknown;
}

export interface Host {
  readonly stdin: { readonly isTTY?: boolean };
  readonly stdout: OutputStream;
  readonly stderr: OutputStream;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** The laptop's own where none is given. */
  readonly clock?: Clock;
  /** Calls back at the first Ctrl-C; the second ends the process. Returns what takes this back. */
  onInterrupt(stop: () => void): () => void;
}

export function processHost(): Host {
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    void import('./output-failure.ts').then(({ endWithoutOutput }) =>
      endWithoutOutput(error, process.stderr.columns ?? 80),
    );
  });
  let errorIsHeard = false;
  return {
    // Each stream costs time to open: only what is used is.
    get stdin() {
      return process.stdin;
    },
    get stdout() {
      return process.stdout;
    },
    get stderr() {
      // Where standard error takes nothing, nobody can be told: the exit code still says how it ended.
      if (!errorIsHeard) process.stderr.on('error', () => {});
      errorIsHeard = true;
      return process.stderr;
    },
    env: process.env,
    onInterrupt(stop) {
      let count = 0;
      const onSignal = () => {
        count += 1;
        if (count > 1) process.exit(130);
        stop();
      };
      process.on('SIGINT', onSignal);
      return () => process.off('SIGINT', onSignal);
    },
  };
}
