// When the work was done, as a person says it: a day and a time, a time alone for today, never in the future.

import { Failure } from '../words/failure.ts';
import { formatLocalDay, parseLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';

/** Milliseconds; Failure exit 2 where it is no time or lies in the future. */
export function requireClaimedTime(
  { clock }: Pick<Context, 'clock'>,
  text: string,
  nowMs: number,
  what = 'the work ended',
): number {
  const today = /^\d{1,2}:\d{2}(:\d{2})?$/.test(text.trim());
  const whole = today ? `${formatLocalDay(nowMs, clock)}T${text.trim().padStart(5, '0')}` : text;
  const atMs = parseLocalTime(whole, clock);
  if (atMs !== undefined && atMs <= nowMs) return atMs;
  throw new Failure({
    code: atMs === undefined ? 'time-form' : 'time-future',
    exit: 2,
    summary: atMs === undefined ? '--at is no time.' : '--at lies in the future.',
    seen: printable(text, 60),
    expected: atMs === undefined ? '2026-11-24T14:30, 14:30 for today, or with an offset' : 'now or earlier',
    where: '--at',
    next: `Give the time at which ${what}; without --at it is now. Check the laptop's clock.`,
  });
}
