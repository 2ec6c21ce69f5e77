// Reads the manifests of a folder, all sub-folders included, through the port. Bounded in depth and number.
// Judges nothing.

import type { Files } from '../ports/files.ts';
import { Failure } from '../words/failure.ts';
import { type ManifestText, maxManifestBytes } from './manifest-text.ts';

const maxFolderDepth = 8;
const maxFiles = 5000;

/** Of files as they are named, of folders every `*.yaml`, `*.yml` and `*.json`. An absent folder is empty. */
export function readManifests(files: Files, paths: readonly string[]): ManifestText[] {
  const found = new Set<string>();
  for (const path of paths.map((path) => files.absolute(path))) {
    if (files.facts(path)?.kind === 'file') found.add(path);
    else gather(files, path, 0, found);
  }
  return [...found].map((path) => ({ path, content: readOne(files, path) }));
}

/** A file that cannot be read, or is far too large, must not hide the others: it is judged as it is. */
function readOne(files: Files, path: string): Uint8Array {
  try {
    return files.readBytes(path, maxManifestBytes);
  } catch (error) {
    if (error instanceof Failure && error.facts.code === 'too-large')
      return new Uint8Array(maxManifestBytes + 1);
    if (error instanceof Failure) return new Uint8Array([0xff]);
    throw error;
  }
}

function gather(files: Files, folder: string, depth: number, found: Set<string>): void {
  if (depth > maxFolderDepth) return;
  for (const entry of files.list(folder)) {
    const path = files.absolute(`${folder}/${entry.name}`);
    // A published JSON Schema describes manifests and is none.
    if (entry.name.startsWith('.') || entry.name.endsWith('.schema.json')) continue;
    if (entry.kind === 'folder') gather(files, path, depth + 1, found);
    else if (entry.kind === 'file' && /\.(?:ya?ml|json)$/i.test(entry.name)) {
      if (found.size >= maxFiles) {
        throw new Failure({
          code: 'too-many-manifests',
          exit: 2,
          summary: `There are more than ${maxFiles} manifests in one folder.`,
          where: folder,
          next: 'Check that this is the manifests folder.',
        });
      }
      found.add(path);
    }
  }
}
