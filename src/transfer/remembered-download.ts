// Where a verified download of a release lies, kept in the workspace so that nobody has to name it twice. A
// note only: whoever uses the file asks first whether it is still the same, and verifies it again where it may not be.

import { type DigestKind, type Digests, digestKinds } from '../bytes/digests.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { As } from '../manifest/identify-download.ts';
import type { Release } from '../manifest/schema.ts';
import type { Files } from '../ports/files.ts';
import type { Workspace } from '../ports/workspace.ts';
import { Failure } from '../words/failure.ts';

const maxNoteBytes = 16 * 1024;

export interface RememberedDownload {
  /** Absolute. */
  readonly path: string;
  readonly bytes: number;
  /** Of the file, not of a member within it. */
  readonly digests: Digests;
  /** The file's, taken before and after it was read; undefined where it had changed a moment before. */
  readonly stamp?: string;
  readonly as: As;
  /** When it was verified, ISO 8601 in UTC. */
  readonly at: string;
}

function notePath(workspace: Workspace, release: Release): string {
  return `${workspace.downloads}/${releaseKey(release)}.json`;
}

/** Failure where the workspace cannot be written. */
export function rememberDownload(
  files: Files,
  workspace: Workspace,
  release: Release,
  download: RememberedDownload,
): void {
  workspace.make();
  files.makeFolder(workspace.downloads);
  files.write(notePath(workspace, release), `${JSON.stringify(download, null, 2)}\n`);
}

/** undefined where none is remembered, the note is damaged, or the file has gone or has another size. */
export function recallDownload(
  files: Files,
  workspace: Workspace,
  release: Release,
): RememberedDownload | undefined {
  const path = notePath(workspace, release);
  if (files.facts(path)?.kind !== 'file') return undefined;
  const note = decodeNote(files, path);
  if (note === undefined) return undefined;
  const facts = files.facts(note.path);
  return facts?.kind === 'file' && facts.sizeBytes === note.bytes ? note : undefined;
}

function decodeNote(files: Files, path: string): RememberedDownload | undefined {
  let value: Partial<RememberedDownload> | null;
  try {
    value = JSON.parse(files.readText(path, maxNoteBytes)) as Partial<RememberedDownload> | null;
  } catch (error) {
    if (error instanceof SyntaxError || error instanceof Failure) return undefined;
    throw error;
  }
  if (
    typeof value?.path !== 'string' ||
    typeof value.bytes !== 'number' ||
    (value.as !== 'image' && value.as !== 'download')
  ) {
    return undefined;
  }
  return {
    path: value.path,
    bytes: value.bytes,
    digests: decodeDigests(value.digests),
    as: value.as,
    at: String(value.at ?? ''),
    ...(typeof value.stamp === 'string' && { stamp: value.stamp }),
  };
}

function decodeDigests(value: unknown): Digests {
  const stated: Partial<Record<DigestKind, unknown>> =
    typeof value === 'object' && value !== null ? value : {};
  return Object.fromEntries(
    digestKinds.flatMap((kind) => (typeof stated[kind] === 'string' ? [[kind, stated[kind]]] : [])),
  );
}
