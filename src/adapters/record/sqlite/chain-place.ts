// How a copy of a record is noticed. Beside the record lie two small files: `-place`, whose number and time of last
// change the record holds, and which no copy or restored folder has again; and `-end`, the newest entry that this
// computer wrote, which an older record put in the record's place does not reach. Proves nothing against a person who
// wants to deceive, nor where a whole disk is cloned: that shows as a split when the chains meet.

import { readFileSync, renameSync, statSync, unlinkSync, writeFileSync } from 'node:fs';
import type { Mark } from '../../../ports/record-store.ts';

const userOnly = 0o600;

/** What a back-up says of its place: no file has these facts. */
export const noPlace = 'a back-up';

/** The facts of the file that stands for this place, and whose place it is; undefined where there is none. */
export function placeHere(record: string, laptop: string): string | undefined {
  try {
    const { ino, ctimeNs, birthtimeNs } = statSync(`${record}-place`, { bigint: true });
    // Windows changes the other time whenever a back-up program has looked at a file.
    return `${laptop}:${ino}:${process.platform === 'win32' ? birthtimeNs : ctimeNs}`;
  } catch {
    return undefined;
  }
}

/** Makes that file anew; its facts. Under the record's lock only. */
export function markPlace(record: string, laptop: string): string {
  const made = `${record}-place.${process.pid}`;
  writeFileSync(
    made,
    `The record ${laptop} belongs here. A copy of it elsewhere begins a laptop id of its own.\n`,
    {
      mode: userOnly,
    },
  );
  renameSync(made, `${record}-place`);
  const facts = placeHere(record, laptop);
  if (facts === undefined) throw Object.assign(new Error('the file just made is gone'), { code: 'EIO' });
  return facts;
}

/** The newest entry that was written here; undefined where nobody noted one, or the note is torn. */
export function notedEnd(record: string): Mark | undefined {
  try {
    const match = /^([a-z0-9]{1,32})-([1-9]\d{0,14}) ([0-9a-f]{64})\n$/.exec(
      readFileSync(`${record}-end`, 'latin1'),
    );
    return match === null ? undefined : { laptop: match[1]!, seq: Number(match[2]), hash: match[3]! };
  } catch {
    return undefined;
  }
}

/** After the commit, never before: it must not say more than the record holds. A note that fails only says less. */
export function noteEnd(record: string, { laptop, seq, hash }: Mark): void {
  const noted = notedEnd(record);
  if (noted?.laptop === laptop && noted.seq >= seq) return;
  try {
    writeFileSync(`${record}-end`, `${laptop}-${seq} ${hash}\n`, { mode: userOnly });
  } catch {
    // The entry is on the disk; there is no trouble to tell.
  }
}

export function forgetEnd(record: string): void {
  try {
    unlinkSync(`${record}-end`);
  } catch {
    // There was none.
  }
}
