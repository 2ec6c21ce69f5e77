// Runs the record's writer under strace, which ends it as it enters its n-th call of one kind: for what the program had
// not handed to the system by then, as if the power had gone.

import { spawnSync } from 'node:child_process';

/** All by which the writer changes a file or the name of one, or makes sure that it is on the disk. */
export const writingCalls = ['pwrite64', 'write', 'ftruncate', 'fsync', 'link', 'rename', 'unlink'] as const;
export type WritingCall = (typeof writingCalls)[number];

export interface KilledRun {
  /** It came to its end before the n-th call. */
  readonly survived: boolean;
  /** Id and hash of each entry that it said was on the disk. */
  readonly said: readonly (readonly [id: string, hash: string])[];
}

export function writeUntilCall(
  writer: string,
  { path, pairs, name }: { readonly path: string; readonly pairs: number; readonly name: string },
  call: WritingCall,
  nth: number,
): KilledRun {
  const inject = ['-e', `trace=${call}`, '-e', `inject=${call}:signal=KILL:when=${nth}`];
  const command = [
    '-f',
    '-qq',
    '-o',
    '/dev/null',
    ...inject,
    process.execPath,
    writer,
    path,
    String(pairs),
    name,
  ];
  const { status, signal, stdout, stderr } = spawnSync('strace', command, { encoding: 'utf8' });
  const said = stdout
    .slice(0, stdout.lastIndexOf('\n') + 1)
    .split('\n')
    .filter(Boolean)
    .map((line) => line.split(' ') as [string, string]);
  const wasKilled = signal === 'SIGKILL' || status === 137;
  if (!wasKilled && status !== 0) throw new Error(`the writer failed at ${call} ${nth}: ${stderr}`);
  return { survived: !wasKilled, said };
}
