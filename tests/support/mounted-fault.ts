// The n-th step of a card's file system fails, and where a file's bytes still are: for the tests of both tiers.

import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { MountedVolume } from '../../src/ports/volumes.ts';
import { Failure } from '../../src/words/failure.ts';
import type { MountedBench } from './mounted-bench.ts';

const steps = ['startNew', 'makeFolder', 'rename', 'removeFile', 'removeFolder', 'flush'] as const;

/** Every step that changes the card is counted; the n-th fails, and in `dead` all after it. */
export function failing(
  volume: MountedVolume,
  count: { at: number },
  n: number,
  mode: 'once' | 'dead',
): MountedVolume {
  const step = () => {
    count.at++;
    if (count.at !== n && !(mode === 'dead' && count.at > n)) return;
    throw new Failure({ code: 'card-failed', exit: 6, summary: 'The card failed.', next: 'Take another.' });
  };
  const spoilt: Record<string, unknown> = { ...volume };
  for (const name of steps) {
    const act = volume[name] as (...args: unknown[]) => unknown;
    spoilt[name] = (...args: unknown[]) => {
      step();
      return act(...args);
    };
  }
  spoilt.startNew = (file: readonly string[]) => {
    step();
    const made = volume.startNew(file);
    return {
      ...made,
      write(chunk: Uint8Array) {
        step();
        made.write(chunk);
      },
      keep() {
        step();
        made.keep();
      },
    };
  };
  return spoilt as unknown as MountedVolume;
}

/** On the card, or in a copy. */
export function isSafe({ card, context }: MountedBench, path: string, bytes: Uint8Array): boolean {
  const { kept } = context.workspace;
  const copies = existsSync(kept)
    ? readdirSync(kept, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile())
    : [];
  const places = [join(card, path), ...copies.map((entry) => join(entry.parentPath, entry.name))];
  return places.some((place) => existsSync(place) && readFileSync(place).equals(bytes));
}
