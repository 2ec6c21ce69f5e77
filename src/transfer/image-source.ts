// The bytes of a release's image out of a file that a person has: the image itself, or a zip that holds it.
// Verified before it is handed out, unless it is still the very file that was verified earlier, and once more while it
// is read, because the file may have changed in between. Knows nothing of cards.

import { startDigests } from '../bytes/digests.ts';
import { digestsAgree } from '../card/look/read-file.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import { identifyDownload } from '../manifest/identify-download.ts';
import type { Release } from '../manifest/schema.ts';
import type { ArchiveMember } from '../ports/archives.ts';
import type { FileFacts } from '../ports/files.ts';
import { Failure } from '../words/failure.ts';
import { type AtBytes, type DownloadPorts, measureDownload } from './measure-download.ts';
import type { RememberedDownload } from './remembered-download.ts';

export interface ImageSource {
  /** Absolute; the file that was verified. */
  readonly path: string;
  /** The name within the archive; absent where the file is the image itself. */
  readonly member?: string;
  /** Of the image. */
  readonly bytes: number;
  readonly sha256: string;
  /**
   * All of the image, in order. A chunk's memory may be used again for the next one. Ends with a Failure
   * (exit 3, `digest-mismatch`) if the bytes are no longer those that were verified.
   */
  chunks(): AsyncIterable<Uint8Array>;
  /** The same without that last look: for a caller who digests what has become of the bytes. */
  uncheckedChunks(): AsyncIterable<Uint8Array>;
  /** Failure `digest-mismatch` (exit 3) where the file has another size or time than when it was verified. */
  requireUnchanged(): void;
}

/**
 * Failure exit 3 with verify's code (`truncated`, `digest-mismatch`, `web-page`) where the file is not the
 * release's image nor an archive that holds it; exit 2 where there is no such file. Whether the release is
 * withdrawn is the caller's question.
 */
export async function openImageSource(
  ports: DownloadPorts,
  path: string,
  release: Release,
  at?: AtBytes,
  verified?: RememberedDownload,
): Promise<ImageSource> {
  const { withdrawn: _, ...asIssued } = release;
  const factsBefore = ports.files.facts(ports.files.absolute(path));
  if (verified !== undefined && isStillVerified(verified, release, factsBefore)) {
    return imageFile(ports, verified.path, verified.bytes, verified.digests.sha256 ?? '', factsBefore);
  }
  const file = await measureDownload(ports, path, [asIssued], at);
  const identified = identifyDownload(file, [asIssued]);
  const fault = identified.findings.find(({ severity }) => severity === 'stop');
  if (identified.verdict !== 'matches' || fault !== undefined) throw notTheImage(release, file.path, fault);
  if (identified.as === 'image') {
    return imageFile(ports, file.path, file.bytes, file.digests.sha256 ?? '', factsBefore);
  }
  const member = file.members?.find(
    ({ name, digests }) => name === identified.member && digests !== undefined,
  );
  if (member?.digests?.sha256 === undefined) throw stillPacked(release, file.path);
  const { sha256 } = member.digests;
  return {
    path: file.path,
    member: member.name,
    bytes: member.bytes,
    sha256,
    chunks: () => sameAsVerified(memberChunks(ports, file.path, member), sha256, file.path),
    uncheckedChunks: () => memberChunks(ports, file.path, member),
    requireUnchanged: () => requireUnchanged(ports, file.path, factsBefore),
  };
}

/**
 * Every byte of it was digested earlier, and nothing of the file was changed since, by its stamp. What is read back
 * from the card is digested in any case; this spares a pass that could only tell the same some seconds sooner.
 */
function isStillVerified(
  verified: RememberedDownload,
  release: Release,
  now: FileFacts | undefined,
): boolean {
  return (
    verified.as === 'image' &&
    verified.stamp !== undefined &&
    verified.stamp === now?.stamp &&
    verified.bytes === release.image.bytes &&
    verified.digests.sha256 !== undefined &&
    digestsAgree(release.image.digests, verified.digests)
  );
}

function imageFile(
  ports: DownloadPorts,
  path: string,
  bytes: number,
  sha256: string,
  factsBefore: FileFacts | undefined,
): ImageSource {
  const chunks = () => asStream(ports.files.chunks(path));
  return {
    path,
    bytes,
    sha256,
    chunks: () => sameAsVerified(chunks(), sha256, path),
    uncheckedChunks: chunks,
    requireUnchanged: () => requireUnchanged(ports, path, factsBefore),
  };
}

function requireUnchanged(ports: DownloadPorts, path: string, before: FileFacts | undefined): void {
  if (ports.files.facts(path)?.stamp !== before?.stamp) throw changed(path);
}

async function* asStream(chunks: Iterable<Uint8Array>): AsyncIterable<Uint8Array> {
  yield* chunks;
}

async function* memberChunks(
  ports: DownloadPorts,
  path: string,
  wanted: ArchiveMember,
): AsyncIterable<Uint8Array> {
  const archive = await (await ports.archives()).open(path);
  try {
    const member = archive?.members.find(({ name, bytes }) => name === wanted.name && bytes === wanted.bytes);
    if (archive === undefined || member === undefined) throw changed(path);
    yield* archive.open(member);
  } finally {
    archive?.close();
  }
}

async function* sameAsVerified(
  chunks: AsyncIterable<Uint8Array>,
  sha256: string,
  path: string,
): AsyncIterable<Uint8Array> {
  const run = await startDigests(['sha256']);
  for await (const chunk of chunks) {
    run.update(chunk);
    yield chunk;
  }
  if (run.finish().sha256 !== sha256) throw changed(path);
}

function changed(path: string): Failure {
  return new Failure({
    code: 'digest-mismatch',
    exit: 3,
    summary: 'The file changed while it was being used.',
    where: path,
    next: 'Verify it again: slotproof verify FILE',
  });
}

function notTheImage(
  release: Release,
  path: string,
  fault:
    | { code: string; summary: string; seen?: string; expected?: string; where?: string; next: string }
    | undefined,
): Failure {
  if (fault === undefined || fault.code === 'not-in-manifests') {
    return new Failure({
      code: 'digest-mismatch',
      exit: 3,
      summary: `This file is not the firmware file of ${releaseKey(release)}, nor a zip that holds it.`,
      expected: `${release.image.name}, ${release.image.bytes} bytes`,
      where: path,
      next: "Give the maker's download of this release as --from FILE.",
    });
  }
  const { code, summary, seen, expected, where, next } = fault;
  return new Failure({
    code,
    exit: 3,
    summary,
    ...(seen !== undefined && { seen }),
    ...(expected !== undefined && { expected }),
    where: where ?? path,
    next,
  });
}

function stillPacked(release: Release, path: string): Failure {
  return new Failure({
    code: 'still-packed',
    exit: 2,
    summary: `This is the maker's download of ${releaseKey(release)}, but the firmware file in it cannot be reached.`,
    expected: release.image.name,
    where: path,
    next: 'Unpack it, then give the unpacked firmware file as --from FILE.',
  });
}
