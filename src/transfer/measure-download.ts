// Measures a download in one pass: size, digests, and, where it is an archive, the members that may be an
// image. Gives values to the decision in manifest/identify-download.ts; decides nothing, writes nothing.

import { type DigestKind, type Digests, startDigests } from '../bytes/digests.ts';
import { baseName } from '../manifest/download-name.ts';
import {
  digestKindsWanted,
  type MeasuredFile,
  type MeasuredMember,
  memberDigestKindsWanted,
} from '../manifest/identify-download.ts';
import type { Release } from '../manifest/schema.ts';
import type { Archive, Archives } from '../ports/archives.ts';
import type { Files } from '../ports/files.ts';
import { Failure } from '../words/failure.ts';

const headBytes = 1024;
/** Members of the size of a known image: there is one, as a rule. */
const maxMembersRead = 16;
const tooManyMembers = {
  summary: `More than ${maxMembersRead} files in this archive have the size of a firmware file; no more were read.`,
  next: 'Unpack it, then verify the firmware file itself.',
};

export interface DownloadPorts {
  readonly files: Files;
  archives(): Promise<Archives>;
}

export type AtBytes = (done: number, total: number) => void;

/** Failure exit 2 where there is no such file, or it is a folder. */
export async function measureDownload(
  ports: DownloadPorts,
  path: string,
  releases: readonly Release[],
  at: AtBytes = () => {},
): Promise<MeasuredFile> {
  const absolute = ports.files.absolute(path);
  const before = ports.files.facts(absolute);
  const sizeBytes = before?.sizeBytes ?? 0;
  const kinds = digestKindsWanted(releases, { name: baseName(absolute), bytes: sizeBytes });
  const run = await startDigests(kinds, { expectedBytes: sizeBytes });
  let head = new Uint8Array(0);
  let bytes = 0;
  for (const chunk of ports.files.chunks(absolute)) {
    if (bytes === 0) head = chunk.slice(0, headBytes);
    run.update(chunk);
    bytes += chunk.length;
    at(bytes, Math.max(bytes, sizeBytes));
  }
  const stamp = before !== undefined && before.stamp === ports.files.facts(absolute)?.stamp && before.stamp;
  const measured = { path: absolute, bytes, digests: run.finish(), head, ...(stamp && { stamp }) };
  if (!mayBeArchive(head)) return measured;
  return { ...measured, ...(await measureMembers(ports, absolute, releases)) };
}

/** Spares loading the archive readers for what is none: every archive that they open begins so. */
function mayBeArchive(head: Uint8Array): boolean {
  return head[0] === 0x50 && head[1] === 0x4b;
}

async function measureMembers(
  ports: DownloadPorts,
  path: string,
  releases: readonly Release[],
): Promise<Pick<MeasuredFile, 'members' | 'archiveFault'>> {
  let archive: Archive | undefined;
  try {
    archive = await (await ports.archives()).open(path);
  } catch (error) {
    return { archiveFault: faultOf(error) };
  }
  if (archive === undefined) return {};
  let archiveFault: MeasuredFile['archiveFault'];
  try {
    const members: MeasuredMember[] = [];
    let read = 0;
    for (const member of archive.members) {
      const kinds = memberDigestKindsWanted(releases, member.bytes);
      if (kinds.length === 0 || read >= maxMembersRead) {
        if (kinds.length > 0) archiveFault ??= tooManyMembers;
        members.push({ name: member.name, bytes: member.bytes });
        continue;
      }
      read += 1;
      try {
        const digests = await digestMember(archive.open(member), member.bytes, kinds);
        members.push({ name: member.name, bytes: member.bytes, digests });
      } catch (error) {
        archiveFault ??= faultOf(error);
        members.push({ name: member.name, bytes: member.bytes });
      }
    }
    return { members, ...(archiveFault !== undefined && { archiveFault }) };
  } finally {
    archive.close();
  }
}

/** The archive's own statement of size was wanted, and the archive ends the stream where it is exceeded. */
async function digestMember(
  chunks: AsyncIterable<Uint8Array>,
  expectedBytes: number,
  kinds: readonly DigestKind[],
): Promise<Digests> {
  const run = await startDigests(kinds, { expectedBytes });
  for await (const chunk of chunks) run.update(chunk);
  return run.finish();
}

function faultOf(error: unknown): NonNullable<MeasuredFile['archiveFault']> {
  // A drive that fails is no property of the archive.
  if (!(error instanceof Failure) || error.facts.exit !== 2) throw error;
  const { summary, next, where } = error.facts;
  return { summary, next, ...(where !== undefined && { where }) };
}
