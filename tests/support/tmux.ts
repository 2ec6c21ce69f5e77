// A real terminal for a test: tmux runs the built command line in a window of a given size, types keys, and
// shows what a person would see.

import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export interface TerminalWindow {
  type(...keys: readonly string[]): void;
  screen(): string;
  /** The same with the escapes for colour and weight in it. */
  painted(): string;
  /** Waits until the screen shows `text`; fails with the screen that it saw instead. */
  waitFor(text: string | RegExp, seconds?: number): Promise<string>;
  close(): void;
}

export interface WindowSize {
  readonly columns: number;
  readonly rows: number;
}

/** `command`: as a shell takes it. Its exit code is shown as `exit=N` when it has ended. */
export function openTerminal(
  command: string,
  size: WindowSize,
  environment: Readonly<Record<string, string>> = {},
): TerminalWindow {
  // A server of its own, so that nobody else's windows are touched.
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-tmux-'));
  const socket = join(folder, 'socket');
  const tmux = (...args: readonly string[]) => {
    const done = spawnSync('tmux', ['-S', socket, '-f', '/dev/null', ...args], { encoding: 'utf8' });
    if (done.status !== 0) throw new Error(`tmux ${args.join(' ')}: ${done.stderr}`);
    return done.stdout;
  };
  const variables = Object.entries(environment).flatMap(([name, value]) => ['-e', `${name}=${value}`]);
  tmux(
    'new-session',
    '-d',
    '-x',
    String(size.columns),
    '-y',
    String(size.rows),
    ...variables,
    'sh',
    '-c',
    `${command}; echo "exit=$?"; exec sleep 600`,
  );
  const screen = () => tmux('capture-pane', '-p');
  return {
    type: (...keys) => void tmux('send-keys', '--', ...keys),
    screen,
    painted: () => tmux('capture-pane', '-p', '-e'),
    async waitFor(text, seconds = 20) {
      const until = Date.now() + seconds * 1000;
      for (;;) {
        const shown = screen();
        if (typeof text === 'string' ? shown.includes(text) : text.test(shown)) return shown;
        if (Date.now() > until) throw new Error(`waited for ${String(text)}, saw:\n${shown}`);
        await new Promise((resolve) => setTimeout(resolve, 50));
      }
    },
    close() {
      tmux('kill-server');
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
