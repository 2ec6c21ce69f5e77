// One line that is written over: phase, share, rate and time left. Written seldom, and nowhere but to a terminal.

import type { Progress } from '../ports/terminal.ts';
import { formatSize } from '../words/size.ts';

const everyMs = 120;

function formatLeft(seconds: number): string {
  if (!Number.isFinite(seconds)) return '';
  if (seconds < 60) return `${Math.ceil(seconds)} s left`;
  return `${Math.floor(seconds / 60)} min ${Math.ceil(seconds % 60)} s left`;
}

/** `writing  45 %  31.2 MB/s  12 s left`, at most `columns` wide. */
export function renderProgress(
  phase: string,
  unit: 'bytes' | 'steps',
  done: number,
  total: number,
  elapsedMs: number,
  columns: number,
): string {
  const share = total > 0 ? `${Math.floor((100 * Math.min(done, total)) / total)} %` : '';
  const perSecond = elapsedMs > 0 ? (done * 1000) / elapsedMs : 0;
  const rate = unit === 'bytes' && perSecond > 0 ? `${formatSize(Math.round(perSecond))}/s` : '';
  const left = perSecond > 0 && elapsedMs > 500 ? formatLeft((total - done) / perSecond) : '';
  return [phase, share, rate, left]
    .filter(Boolean)
    .join('  ')
    .slice(0, columns - 1);
}

export function startProgress(
  write: (text: string) => void,
  now: () => number,
  columns: number,
  phase: string,
  unit: 'bytes' | 'steps',
): Progress {
  const startMs = now();
  let nextMs = startMs + everyMs;
  let shown = false;
  return {
    at(done, total) {
      const atMs = now();
      if (atMs < nextMs) return;
      nextMs = atMs + everyMs;
      shown = true;
      write(`\r\u001b[K${renderProgress(phase, unit, done, total, atMs - startMs, columns)}`);
    },
    end() {
      if (shown) write('\r\u001b[K');
      shown = false;
    },
  };
}

export const noProgress: Progress = { at: () => {}, end: () => {} };
