// Does what a chain says of time agree with itself? Three doubts, each told once a chain, with the first entry that gives
// rise to it: a clock that was put back, a claim of what had not happened yet when it was written, and a claim written
// down long after. None of them is damage: clocks are set, and paper is typed in late. Whose word is right, nobody here
// can tell.

import type { Entry } from '../ports/record-store.ts';
import { counted } from '../words/counted.ts';
import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';

/** A clock that is set right by the network jumps less than this. */
export const mostBackMs = 60_000;
/** As far as a phone's clock may be ahead of the laptop's where outcomes are collected. */
export const mostAheadMs = 10 * 60_000;
/** Paper lies about for a week, and is typed in the week after. */
export const mostLateMs = 14 * 86_400_000;

interface Doubt {
  count: number;
  readonly first: Entry;
  readonly seen: string;
}

export interface ChainTimes {
  /** The entries of one chain, one after the other. */
  look(entry: Entry): void;
  findings(): Generator<Finding>;
}

export function checkTimes(): ChainTimes {
  const doubts: { back?: Doubt; ahead?: Doubt; late?: Doubt } = {};
  let before: Entry | undefined;
  const note = (name: keyof typeof doubts, entry: Entry, seen: string) => {
    const doubt = doubts[name];
    if (doubt === undefined) doubts[name] = { count: 1, first: entry, seen };
    else doubt.count += 1;
  };
  return {
    look(entry) {
      if (before !== undefined && before.writtenMs - entry.writtenMs > mostBackMs) {
        note('back', entry, `written ${shown(entry.writtenAt)}, after one of ${shown(before.writtenAt)}`);
      }
      before = entry;
      const aheadMs = entry.claimedMs - entry.writtenMs;
      const seen = `of ${shown(entry.claimedAt)}, written ${shown(entry.writtenAt)}`;
      if (aheadMs > mostAheadMs) note('ahead', entry, seen);
      if (-aheadMs > mostLateMs && !hasDateOfItsOwn(entry)) note('late', entry, seen);
    },
    *findings() {
      const { back, ahead, late } = doubts;
      if (back !== undefined) {
        yield finding(
          back,
          'clock-went-back',
          'warn',
          `The clock of this laptop was put back, ${back.count === 1 ? 'once' : `${back.count} times`}.`,
          'each entry written after the one before it',
          'Check the date and time of that laptop; correct what was logged with a wrong time: log --corrects ID --at.',
        );
      }
      if (ahead !== undefined) {
        yield finding(
          ahead,
          'claimed-ahead',
          'warn',
          `${counted(ahead.count, 'entry claims', 'entries claim')} what had not happened yet when it was written.`,
          'at most ten minutes ahead',
          'Check the clock of that laptop, or of the phone it came from; correct the time: log --corrects ID --at.',
        );
      }
      if (late !== undefined) {
        yield finding(
          late,
          'claimed-late',
          'note',
          `${counted(late.count, 'entry was', 'entries were')} written more than two weeks after what they tell.`,
          'within two weeks',
          'Nothing to do where it came from paper; else check the clock of that laptop.',
        );
      }
    },
  };
}

/** A table's date is when a version was read, maybe years ago; a correction keeps the time of its entry. */
function hasDateOfItsOwn({ kind, body }: Entry): boolean {
  return kind === 'correction' || (kind === 'version-seen' && body.evidence === 'reported');
}

/** Local, with the offset, to the minute: `2026-11-24 14:30 +01:00`. */
function shown(time: string): string {
  return `${time.slice(0, 16).replace('T', ' ')} ${time.slice(-6)}`;
}

function finding(
  { first, seen }: Doubt,
  code: string,
  severity: 'warn' | 'note',
  summary: string,
  expected: string,
  next: string,
): Finding {
  return { code, severity, summary, seen, expected, where: printable(first.id), next };
}
