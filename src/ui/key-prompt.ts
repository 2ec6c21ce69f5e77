// One key at a terminal, with a line that runs meanwhile. Keys pressed before the choices were shown do not count:
// a step must not be answered by a key that was meant for the one before, nor by a pasted text. Ctrl-C stops.

import type { KeyChoice, RunningLine } from '../ports/terminal.ts';
import { wrap } from '../words/wrap.ts';

/** What is read from the keyboard: a terminal's input in raw mode. */
export interface Keyboard {
  readonly isRaw?: boolean;
  setRawMode(raw: boolean): unknown;
  resume(): unknown;
  pause(): unknown;
  on(event: 'data', listener: (chunk: Uint8Array | string) => void): unknown;
  on(event: 'end' | 'close', listener: () => void): unknown;
  off(event: 'data', listener: (chunk: Uint8Array | string) => void): unknown;
  off(event: 'end' | 'close', listener: () => void): unknown;
}

export interface KeyPromptFacts {
  readonly keyboard: Keyboard;
  readonly write: (text: string) => void;
  readonly now: () => number;
  readonly columns: number;
}

export type KeyAnswer<T> = { readonly kind: 'chosen'; readonly value: T } | { readonly kind: 'left' };

/** For how long keys that were pressed too soon are thrown away. */
const drainMs = 60;
const redrawMs = 200;
const clearLine = '\r\u001b[K';
const bell = '\u0007';

export function renderKeys(choices: readonly KeyChoice<unknown>[], columns: number): string {
  const width = Math.max(...choices.map(({ key }) => key.length));
  const indent = ' '.repeat(width + 4);
  return choices.map(({ key, label }) => wrap(label, columns, indent, `  ${key.padEnd(width)}  `)).join('\n');
}

/** `left`: Ctrl-C, or the terminal went away. */
export function readKey<T>(
  facts: KeyPromptFacts,
  choices: readonly KeyChoice<T>[],
  running?: RunningLine<T>,
): Promise<KeyAnswer<T>> {
  const { keyboard, write, now, columns } = facts;
  return new Promise((resolve) => {
    let open = false;
    let shown = '';
    let timer: NodeJS.Timeout | undefined;
    const end = (answer: KeyAnswer<T>, last = '') => {
      clearInterval(timer);
      clearTimeout(opening);
      keyboard.off('data', onData);
      keyboard.off('end', onGone);
      keyboard.off('close', onGone);
      keyboard.setRawMode(false);
      keyboard.pause();
      write(`${shown === '' ? '' : clearLine}${last}`);
      resolve(answer);
    };
    const onGone = () => end({ kind: 'left' });
    const onData = (chunk: Uint8Array | string) => {
      const text = typeof chunk === 'string' ? chunk : new TextDecoder().decode(chunk);
      if (text.includes('\u0003') || text === '\u0004') return end({ kind: 'left' });
      if (!open) return;
      const key = text === '\r' || text === '\n' ? 'Enter' : text.toLowerCase();
      const choice = choices.find((one) => one.key.toLowerCase() === key.toLowerCase());
      // Said again, so that who looks back sees what was answered.
      if (choice !== undefined) end({ kind: 'chosen', value: choice.value }, `  > ${choice.label}\n`);
    };
    const tick = () => {
      if (running === undefined) return;
      const atMs = now();
      if (running.over !== undefined && atMs >= running.over.atMs) {
        return end({ kind: 'chosen', value: running.over.value }, bell);
      }
      const line = running.line(atMs);
      if (line !== shown) write(`${clearLine}  ${line}`);
      shown = line;
    };
    const opening = setTimeout(() => {
      open = true;
      write(`${renderKeys(choices, columns)}\n`);
      tick();
      if (running !== undefined) timer = setInterval(tick, redrawMs);
    }, drainMs);
    keyboard.setRawMode(true);
    keyboard.on('data', onData);
    keyboard.on('end', onGone);
    keyboard.on('close', onGone);
    keyboard.resume();
  });
}
