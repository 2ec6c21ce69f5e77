// Makes a folder and those above it. Node says "no such file" where the drive is write-protected (it makes all of them
// in one call and looks only at the last); here the first that cannot be made says why. Flushes nothing.

import { existsSync, mkdirSync } from 'node:fs';
import { dirname, resolve } from 'node:path';

/** The first that was made; undefined where all were there. */
export function makeFolders(path: string, mode: number): string | undefined {
  try {
    return mkdirSync(path, { recursive: true, mode });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
    let missing = resolve(path);
    while (!existsSync(dirname(missing)) && dirname(missing) !== missing) missing = dirname(missing);
    mkdirSync(missing, { mode });
    mkdirSync(path, { recursive: true, mode });
    return missing;
  }
}
