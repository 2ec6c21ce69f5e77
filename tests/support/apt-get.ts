// Takes packages by apt-get, for tests that need tools or a kernel of Debian's: a mirror that is slow or away for a moment
// is asked again a few times, which is told; then one sentence says what is needed. Decides nothing of what is taken.

import { execFileSync } from 'node:child_process';

const mostTries = 3;
const pauseSeconds = 5;
const boundSeconds = 300;

export interface AptWays {
  readonly cwd?: string;
  readonly run?: (args: readonly string[]) => unknown;
  readonly tell?: (line: string) => void;
  readonly wait?: (seconds: number) => void;
}

function sleep(seconds: number): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, seconds * 1000);
}

/** Of what went wrong, the line that says why. */
function reasonOf(error: unknown): string {
  const { code, stderr, message } = error as NodeJS.ErrnoException & { readonly stderr?: unknown };
  if (code === 'ETIMEDOUT') return `no end within ${boundSeconds} seconds`;
  const lines = String(stderr ?? '').split('\n');
  return lines.findLast((line) => line.startsWith('E:')) ?? (lines.join(' ').trim() || message);
}

export function aptGet(args: readonly string[], ways: AptWays = {}): void {
  const standard = (given: readonly string[]) =>
    execFileSync('apt-get', [...given], {
      ...(ways.cwd !== undefined && { cwd: ways.cwd }),
      encoding: 'utf8',
      maxBuffer: 2 ** 26,
      stdio: ['ignore', 'pipe', 'pipe'],
      timeout: boundSeconds * 1000,
      killSignal: 'SIGKILL',
    });
  const { run = standard, tell = (line) => console.warn(line), wait = sleep } = ways;
  const command = `apt-get ${args.join(' ')}`;
  for (let tried = 1; ; tried++) {
    try {
      run(args);
      return;
    } catch (error) {
      const reason = reasonOf(error);
      if (tried === mostTries)
        throw new Error(
          `"${command}" failed ${mostTries} times (${reason}): the tests on a real kernel need Debian's packages once; they are kept after.`,
          { cause: error },
        );
      tell(`"${command}" failed (${reason}); it is tried again in ${pauseSeconds} seconds.`);
      wait(pauseSeconds);
    }
  }
}
