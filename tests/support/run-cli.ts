// The command line as a test calls it: the real main() in this process, with streams and a
// clock of our own. No terminal, so nothing is ever asked.

import { main } from '../../src/cli.ts';
import type { Clock } from '../../src/ports/clock.ts';
import type { Host, OutputStream } from '../../src/ui/host.ts';
import { testClock } from './test-clock.ts';

export interface CliResult {
  readonly exit: number;
  readonly stdout: string;
  readonly stderr: string;
  /** The one JSON object, where standard output is one. */
  readonly json: any;
}

export interface CliOptions {
  readonly workspace?: string;
  readonly columns?: number;
  readonly env?: Readonly<Record<string, string>>;
  readonly clock?: Clock;
  /** Ctrl-C, as soon as the command listens for it. */
  readonly interrupted?: boolean;
}

function collector(columns: number): OutputStream & { text: () => string } {
  let text = '';
  return {
    columns,
    write(part) {
      text += part;
    },
    text: () => text,
  };
}

export async function runCli(args: readonly string[], options: CliOptions = {}): Promise<CliResult> {
  const stdout = collector(options.columns ?? 80);
  const stderr = collector(options.columns ?? 80);
  const host: Host = {
    stdin: {},
    stdout,
    stderr,
    env: {
      ...(options.workspace === undefined ? {} : { SLOTPROOF_WORKSPACE: options.workspace }),
      ...options.env,
    },
    clock: options.clock ?? testClock,
    onInterrupt(stop) {
      if (options.interrupted === true) stop();
      return () => {};
    },
  };
  const exit = await main(args, host);
  let json: any;
  try {
    json = JSON.parse(stdout.text());
  } catch {
    json = undefined;
  }
  return { exit, stdout: stdout.text(), stderr: stderr.text(), json };
}
