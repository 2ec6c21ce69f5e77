// Copies a person's files from the card to the workspace before anything is removed: each copy is written whole
// under a name of its own, flushed, read back and compared. Nothing is ever replaced. Does not write to the card.

import { startDigests } from '../bytes/digests.ts';
import type { FileNode } from '../card/look/examined-card.ts';
import type { Clock } from '../ports/clock.ts';
import type { Files } from '../ports/files.ts';
import type { Workspace } from '../ports/workspace.ts';
import { Failure, type FailureFacts } from '../words/failure.ts';
import { formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { formatBytes } from '../words/size.ts';
import { harmlessName, keptPaths, timeName } from './kept-path.ts';

export interface KeptFile {
  /** On the card, raw. */
  readonly path: string;
  /** Absolute, on this computer. */
  readonly keptAt: string;
}

/** Filled while files are copied, so that it is known what is in safety wherever the rest stops. */
export interface KeptFiles {
  /** Absolute; null while there are none. */
  folder: string | null;
  readonly files: KeptFile[];
}

export interface KeepPorts {
  readonly files: Files;
  readonly workspace: Workspace;
  readonly clock: Clock;
}

export interface KeepProgress {
  readonly doneBytes: number;
  readonly totalBytes: number;
}

/** The bytes of a file of the card, in order. */
export type CardFileChunks = (file: FileNode) => Iterable<Uint8Array>;

/** Why the copies are made, for the note that lies with them. */
export interface KeepReason {
  /** As a person gave it. */
  readonly card: string;
  readonly release: string;
}

const maxFolders = 1000;
const noteName = 'about these files.txt';

function partsOf(file: FileNode): string[] {
  const parts = [file.name];
  for (let above = file.parent; above.parent !== null; above = above.parent) parts.unshift(above.name);
  return parts;
}

/** A folder of its own for this run; two runs within one second get two. */
function newFolder({ files, workspace, clock }: KeepPorts, cardName: string): string {
  const name = `${workspace.kept}/${timeName(clock.now())}-${harmlessName(cardName)}`;
  for (let number = 1; number <= maxFolders; number++) {
    const folder = number === 1 ? name : `${name}-${number}`;
    if (files.facts(folder) === undefined) return folder;
  }
  throw new Failure({
    code: 'kept-folder-full',
    exit: 6,
    summary: 'There is no free name for a folder of kept files.',
    where: workspace.kept,
    next: 'Wait a second, then run the same again.',
  });
}

function copyFailed(file: FileNode, where: string, seen: string, expected: string): Failure {
  return new Failure({
    code: 'kept-copy-differs',
    exit: 6,
    summary: `The copy of ${file.path} is not what was on the card. Nothing was removed from the card.`,
    seen,
    expected,
    where,
    next: 'Look at the drive that the workspace is on and at the card, then run the same again.',
  });
}

async function keepFile(
  { files }: KeepPorts,
  chunksOf: CardFileChunks,
  file: FileNode,
  keptAt: string,
): Promise<void> {
  const onCard = await startDigests(['sha256']);
  let bytes = 0;
  function* measured() {
    for (const chunk of chunksOf(file)) {
      onCard.update(chunk);
      bytes += chunk.length;
      yield chunk;
    }
  }
  files.makeFolder(keptAt.slice(0, Math.max(0, keptAt.lastIndexOf('/'))));
  files.writeNew(keptAt, measured());
  const expected = `${formatBytes(file.sizeBytes)} bytes`;
  if (bytes !== file.sizeBytes) throw copyFailed(file, keptAt, `${formatBytes(bytes)} bytes`, expected);
  const copied = await startDigests(['sha256']);
  for (const chunk of files.chunks(keptAt)) copied.update(chunk);
  const [was, is] = [onCard.finish().sha256, copied.finish().sha256];
  if (was !== is) throw copyFailed(file, keptAt, `sha256 ${is}`, `sha256 ${was}`);
}

/** Says later whose files these are, whatever became of the run. */
function noteText({ clock }: KeepPorts, { card, release }: KeepReason): string {
  return [
    'Copies of files from a card, made before the card was changed.',
    `card      ${printable(card, 1000)}`,
    `copied    ${formatLocalTime(clock.now(), clock)}`,
    `prepared  for ${printable(release, 200)}`,
    'They may be moved or removed once whoever they belong to has them.',
    '',
  ].join('\n');
}

/** The same failure, with where the copies are. */
export function withKept(facts: FailureFacts, { folder, files }: Readonly<KeptFiles>): FailureFacts {
  if (folder === null || files.length === 0) return facts;
  const copies = files.length === 1 ? 'A copy of one file' : `Copies of ${formatBytes(files.length)} files`;
  const are = files.length === 1 ? 'is' : 'are';
  const summary = `${facts.summary} ${copies} of the card ${are} kept in ${folder}.`;
  return { ...facts, summary, more: { ...facts.more, kept: files } };
}

/** Yields before each file, so that a person can stop between two of them. */
export async function* keepFiles(
  ports: KeepPorts,
  chunksOf: CardFileChunks,
  wanted: readonly FileNode[],
  cardName: string,
  reason: KeepReason,
  kept: KeptFiles,
): AsyncGenerator<KeepProgress, void> {
  if (wanted.length === 0) return;
  ports.workspace.make();
  const folder = newFolder(ports, cardName);
  const paths = keptPaths();
  ports.files.makeFolder(folder);
  ports.files.write(`${folder}/${paths.next([noteName])}`, noteText(ports, reason));
  kept.folder = ports.files.absolute(folder);
  const totalBytes = wanted.reduce((sum, file) => sum + file.sizeBytes, 0);
  let doneBytes = 0;
  for (const file of wanted) {
    yield { doneBytes, totalBytes };
    const keptAt = `${folder}/${paths.next(partsOf(file))}`;
    await keepFile(ports, chunksOf, file, keptAt);
    kept.files.push({ path: file.path, keptAt: ports.files.absolute(keptAt) });
    doneBytes += file.sizeBytes;
  }
  yield { doneBytes, totalBytes };
}
