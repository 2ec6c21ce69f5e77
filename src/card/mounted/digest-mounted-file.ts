// Digests a file of a mounted card. A file that is longer or shorter than its folder says is not read to its end.

import { startDigests } from '../../bytes/digests.ts';
import type { MountedVolume } from '../../ports/volumes.ts';
import type { DigestFile, ReadProgress } from '../look/read-file.ts';
import { pathOf } from './read-mounted-tree.ts';

export function digestMounted(volume: MountedVolume, progress?: ReadProgress): DigestFile {
  return async (file, kinds) => {
    const run = await startDigests(kinds, { expectedBytes: file.sizeBytes });
    let done = 0;
    for (const chunk of volume.chunks(pathOf(file))) {
      done += chunk.length;
      if (done > file.sizeBytes) return undefined;
      run.update(chunk);
      progress?.(done, file.sizeBytes);
    }
    return done === file.sizeBytes ? run.finish() : undefined;
  };
}
