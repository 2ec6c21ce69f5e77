// Gives a run of the tests a place of its own for temporary files, on the disk and in memory, and takes it away at the
// end: the processes of the tests are ended without a word, so that what they would remove then stayed behind.

import { chmodSync, existsSync, mkdtempSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export default function setup(): () => void {
  // Each project of a run asks for it; they share one.
  if (process.env.SLOTPROOF_TEST_MEMORY !== undefined) return () => {};
  const before = process.env.TMPDIR;
  // Short: the paths of sockets have room for 100 characters.
  const disk = mkdtempSync(join(realpathSync(tmpdir()), 'sp-'));
  // The server of the tests is another user's, with a folder of its own in here.
  chmodSync(disk, 0o711);
  const memory = existsSync('/dev/shm') ? mkdtempSync('/dev/shm/sp-') : disk;
  process.env.TMPDIR = disk;
  process.env.SLOTPROOF_TEST_MEMORY = memory;
  return () => {
    if (before === undefined) delete process.env.TMPDIR;
    else process.env.TMPDIR = before;
    delete process.env.SLOTPROOF_TEST_MEMORY;
    for (const folder of new Set([disk, memory])) rmSync(folder, { recursive: true, force: true });
  };
}
