// What the system says of a mounted card that fails, in the tool's own words. After any of these the card is not to be
// believed, whatever it says next.

import { Failure } from '../../words/failure.ts';
import { fileFailure } from '../files/file-failure.ts';

type Telling = readonly [code: string, exit: 2 | 5 | 6, summary: string, next: string];

const again = 'Put the card back in, then run the same command again.';
const leave = 'Leave the card alone meanwhile, then run the same command again.';
const other = 'Try once more, in another reader if there is one; if it fails again, take another card.';

const gone: Telling = ['card-gone', 6, 'The card is gone.', again];
const failed: Telling = ['card-failed', 6, 'The card did not do what was asked.', other];

const tellings: Readonly<Record<string, Telling>> = {
  ENODEV: gone,
  ENXIO: gone,
  ENOMEDIUM: gone,
  ENOENT: ['card-gone', 6, 'What was on the card a moment ago is gone.', again],
  ENOTDIR: ['card-changed', 5, 'A folder on the card became something else meanwhile.', leave],
  ELOOP: ['card-changed', 5, 'A link lies where a file of the card was.', leave],
  EEXIST: ['card-changed', 5, 'Something of that name came onto the card meanwhile.', leave],
  ENOTEMPTY: ['card-changed', 5, 'A folder on the card got new files meanwhile.', leave],
  EIO: failed,
  EROFS: [
    'write-protected',
    6,
    'The card is write-protected, or the system has stopped writing to it.',
    'Slide the lock on its edge back, or take another card; then run the same again.',
  ],
  ENOSPC: [
    'no-room',
    6,
    'The card is full.',
    'Take a larger card, or remove from it by hand what is not needed.',
  ],
  EFBIG: ['no-room', 6, 'The card does not take a file of this size.', 'Take a card with another format.'],
  EINVAL: [
    'bad-card-name',
    6,
    'The card’s file system does not take this name.',
    'Have the manifest put right.',
  ],
  ENAMETOOLONG: [
    'bad-card-name',
    6,
    'The card’s file system does not take this name.',
    'Have the manifest put right.',
  ],
  EACCES: [
    'no-permission',
    2,
    'This user may not write to the files of this card.',
    'Mount it in the file manager as yourself, or run the command with administrator rights (sudo).',
  ],
};

/** A Failure for an error of node:fs; what is no system error is left a bug. */
export function volumeFailure(error: unknown, where: string, doing: 'read' | 'write'): unknown {
  const code = (error as NodeJS.ErrnoException | null)?.code;
  if (error instanceof Failure || typeof code !== 'string') return error;
  const failure = fileFailure(error, where, doing);
  if (!(failure instanceof Failure)) return failure;
  const [name, exit, summary, next] = tellings[code === 'EPERM' ? 'EACCES' : code] ?? failed;
  return new Failure({ code: name, exit, summary, seen: `${code} on ${doing}`, where, next }, error);
}

export function volumeGone(where: string): Failure {
  const [code, exit, summary, next] = gone;
  return new Failure({ code, exit, summary, seen: 'nothing is mounted there any more', where, next });
}
