// A file's chunks as they come, and a line on how far they are: for work that goes along with the reading of a file.

import type { Context } from './context.ts';

export function* chunksWithProgress(
  { files, terminal }: Pick<Context, 'files' | 'terminal'>,
  path: string,
  phase: string,
): Generator<Uint8Array> {
  const total = files.facts(path)?.sizeBytes ?? 0;
  const progress = terminal.progress(phase, 'bytes');
  let done = 0;
  try {
    for (const chunk of files.chunks(path)) {
      yield chunk;
      done += chunk.length;
      progress.at(done, total);
    }
  } finally {
    progress.end();
  }
}
