// Decides what a download is: which release is meant, and whether the file is what its manifest says. Pure: it
// is told what was measured, and tells before that which digests are worth measuring. Reads nothing itself.

import { type DigestKind, type Digests, digestKinds } from '../bytes/digests.ts';
import type { Finding } from '../words/finding.ts';
import { bySeverity, hasStop } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import { formatBytes } from '../words/size.ts';
import { releaseKey } from './catalogue.ts';
import { baseName, sameDownloadName } from './download-name.ts';
import { provesContent } from './lint-release.ts';
import type { Release } from './schema.ts';
import { looksLikeWebPage } from './web-page.ts';

export interface MeasuredMember {
  readonly name: string;
  readonly bytes: number;
  /** Of those whose size a manifest knows. */
  readonly digests?: Digests;
}

export interface MeasuredFile {
  readonly path: string;
  readonly bytes: number;
  readonly digests: Digests;
  /** The first bytes, at most 1,024. */
  readonly head: Uint8Array;
  /** undefined where the file is no archive that can be read. */
  readonly members?: readonly MeasuredMember[];
  /** What kept an archive, or a member of it, from being read. */
  readonly archiveFault?: { readonly summary: string; readonly next: string; readonly where?: string };
  /** The file's stamp, where it was the same before and after it was read. */
  readonly stamp?: string;
}

export type As = 'image' | 'download';

export interface Identified {
  readonly verdict: 'matches' | 'differs' | 'unknown';
  readonly release?: Release;
  readonly as?: As;
  /** The name of the image within the archive, as the archive states it. */
  readonly member?: string;
  readonly findings: readonly Finding[];
}

interface Meant {
  readonly release: Release;
  readonly as: As;
  /** The file, or a member of it, that is measured against what the manifest states. */
  readonly measured: { readonly name: string; readonly bytes: number; readonly digests: Digests };
  readonly stated: { readonly name: string; readonly bytes: number; readonly digests: Digests };
  readonly member?: string;
}

/** The digests to work out in the one pass over the file: those of every release it may be, and sha256. */
export function digestKindsWanted(
  releases: readonly Release[],
  file: { readonly name: string; readonly bytes: number },
): DigestKind[] {
  const wanted = new Set<DigestKind>(['sha256']);
  for (const release of releases) {
    for (const stated of [release.image, release.download]) {
      if (stated === undefined) continue;
      if (stated.bytes !== file.bytes && !sameDownloadName(file.name, stated.name)) continue;
      for (const kind of digestKinds) if (stated.digests[kind] !== undefined) wanted.add(kind);
    }
  }
  return digestKinds.filter((kind) => wanted.has(kind));
}

/** The digests of a member that are worth reading it for; none where no manifest knows an image of its size. */
export function memberDigestKindsWanted(releases: readonly Release[], bytes: number): DigestKind[] {
  const images = releases.filter(({ image }) => image.bytes === bytes).map(({ image }) => image);
  if (images.length === 0) return [];
  return digestKinds.filter(
    (kind) => kind === 'sha256' || images.some(({ digests }) => digests[kind] !== undefined),
  );
}

export function identifyDownload(file: MeasuredFile, releases: readonly Release[]): Identified {
  const meant = whichIsMeant(file, releases);
  if (meant === undefined)
    return { verdict: 'unknown', findings: [notInManifests(file, releases.length === 0)] };
  const findings = findingsOf(file, meant);
  return {
    verdict: hasStop(findings) ? 'differs' : 'matches',
    release: meant.release,
    as: meant.as,
    ...(meant.member !== undefined && { member: meant.member }),
    findings: bySeverity(findings),
  };
}

function whichIsMeant(file: MeasuredFile, releases: readonly Release[]): Meant | undefined {
  const name = baseName(file.path);
  const whole = { name, bytes: file.bytes, digests: file.digests };
  const readings = releases.flatMap((release): Meant[] => [
    { release, as: 'image', measured: whole, stated: release.image },
    ...(release.download
      ? [{ release, as: 'download' as const, measured: whole, stated: release.download }]
      : []),
  ]);
  const packed = releases.flatMap((release) =>
    (file.members ?? []).map(
      (member): Meant => ({
        release,
        as: 'download',
        measured: { ...member, digests: member.digests ?? {} },
        stated: release.image,
        member: member.name,
      }),
    ),
  );

  const agreeing = [...readings, ...packed].filter(({ measured, stated }) =>
    agree(stated.digests, measured.digests),
  );
  if (agreeing.length > 0) return withMember(file, best(agreeing, name, file.bytes));

  const named = readings.filter(({ stated }) => sameDownloadName(name, stated.name));
  const isArchive = file.members !== undefined;
  // An archive whose own name is not a download's is meant by what it holds.
  const namedInside = packed.filter(({ measured, stated }) =>
    sameDownloadName(baseName(measured.name), stated.name),
  );
  const namedDownload = named.filter(({ as }) => as === 'download');
  const byName = isArchive ? [namedDownload, namedInside, named] : [named];
  const found = byName.find((group) => group.length > 0);
  if (found !== undefined) return newest(found);

  const sized = readings.filter(({ stated }) => stated.bytes === file.bytes);
  return sized.length > 0 ? newest(sized) : undefined;
}

/** At least one digest can be compared, and none differs. */
function agree(stated: Digests, measured: Digests): boolean {
  const common = digestKinds.filter((kind) => stated[kind] !== undefined && measured[kind] !== undefined);
  return common.length > 0 && common.every((kind) => stated[kind] === measured[kind]);
}

/** Of several whose digests agree: not withdrawn, the file itself before a member, the right name, the newest. */
function best(meant: readonly Meant[], name: string, bytes: number): Meant {
  const rank = (one: Meant) => [
    one.release.withdrawn === undefined ? 1 : 0,
    one.member === undefined ? 1 : 0,
    one.stated.name === name ? 1 : 0,
    one.stated.bytes === bytes ? 1 : 0,
    one.as === 'image' ? 1 : 0,
    one.release.sequence,
  ];
  return highest(meant, rank);
}

/**
 * Of several whose name or size agrees: for each product the highest sequence that is not withdrawn; of several
 * products the one whose size agrees.
 */
function newest(meant: readonly Meant[]): Meant {
  const byProduct = new Map<string, Meant[]>();
  for (const one of meant) {
    byProduct.set(one.release.product, [...(byProduct.get(one.release.product) ?? []), one]);
  }
  const newestOfEach = [...byProduct.values()].map((group) =>
    highest(group, (one) => [
      one.release.withdrawn === undefined ? 1 : 0,
      one.release.sequence,
      one.stated.bytes === one.measured.bytes ? 1 : 0,
    ]),
  );
  return highest(newestOfEach, (one) => [
    one.release.withdrawn === undefined ? 1 : 0,
    one.stated.bytes === one.measured.bytes ? 1 : 0,
  ]);
}

function highest<T>(all: readonly T[], rank: (one: T) => number[]): T {
  return all.reduce((top, one) => (compareRanks(rank(one), rank(top)) > 0 ? one : top));
}

function compareRanks(a: readonly number[], b: readonly number[]): number {
  for (let i = 0; i < a.length; i++) {
    const difference = (a[i] ?? 0) - (b[i] ?? 0);
    if (difference !== 0) return difference;
  }
  return 0;
}

/** A download that is right by itself still has to hold the image: finds the member that is it. */
function withMember(file: MeasuredFile, meant: Meant): Meant {
  if (meant.as !== 'download' || meant.member !== undefined || file.members === undefined) return meant;
  const { image, download } = meant.release;
  const right = file.members.filter((member) => member.digests && agree(image.digests, member.digests));
  const member = right.find(({ name }) => name === download?.member) ?? right[0];
  return member === undefined ? meant : { ...meant, member: member.name };
}

function findingsOf(file: MeasuredFile, meant: Meant): Finding[] {
  const found: Finding[] = [];
  const content = contentFinding(file, meant);
  if (content !== undefined) found.push(content);
  else {
    const holding = holdingFinding(file, meant);
    if (holding !== undefined) found.push(holding);
    if (!provesContent(meant.stated.digests)) found.push(weakDigestOnly(file, meant));
    const expectedName = expectedNameOf(meant);
    if (expectedName !== undefined && expectedName !== baseName(file.path))
      found.push(renamed(file, expectedName));
  }
  const { withdrawn } = meant.release;
  if (withdrawn === undefined) return found;
  // That it must not be used is the one thing that counts; the rest is only said.
  return [
    ...found.map(
      (finding): Finding => (finding.severity === 'stop' ? { ...finding, severity: 'warn' } : finding),
    ),
    {
      code: 'withdrawn',
      severity: 'stop',
      summary: `${releaseKey(meant.release)} is withdrawn: ${printable(withdrawn.why, 300)}.`,
      seen: `withdrawn on ${withdrawn.on}`,
      expected: 'a release that is not withdrawn',
      where: file.path,
      next:
        withdrawn.doThis === undefined
          ? 'Do not install it. Take the newest release.'
          : printable(withdrawn.doThis, 300),
    },
  ];
}

/** The name that the file itself should have; an archive that is not the maker's has none. */
function expectedNameOf(meant: Meant): string | undefined {
  return meant.stated === meant.release.image && meant.member !== undefined ? undefined : meant.stated.name;
}

function contentFinding(file: MeasuredFile, meant: Meant): Finding | undefined {
  const { measured, stated } = meant;
  const where = meant.member === undefined ? file.path : `${file.path}: ${printable(meant.member)}`;
  const what =
    meant.as === 'download' && meant.member === undefined ? "the maker's download" : 'the firmware file';
  const disagree = digestKinds.filter(
    (kind) =>
      measured.digests[kind] !== undefined &&
      stated.digests[kind] !== undefined &&
      measured.digests[kind] !== stated.digests[kind],
  );
  if (measured.bytes === stated.bytes && agree(stated.digests, measured.digests)) return undefined;
  if (meant.member === undefined && looksLikeWebPage(file.head)) {
    return {
      code: 'web-page',
      severity: 'stop',
      summary: `This is a web page under the name of ${what}, such as a page that asks to log in.`,
      seen: `a web page of ${formatBytes(file.bytes)} bytes`,
      expected: `${formatBytes(stated.bytes)} bytes of ${releaseKey(meant.release)}`,
      where,
      next: "Log in at the maker's page, then download it again.",
    };
  }
  if (measured.bytes !== stated.bytes) {
    const short = measured.bytes < stated.bytes;
    return {
      code: short ? 'truncated' : 'too-long',
      severity: 'stop',
      summary: short
        ? `Only part of ${what} of ${releaseKey(meant.release)} is there.`
        : `The file is longer than ${what} of ${releaseKey(meant.release)}.`,
      seen: `${formatBytes(measured.bytes)} bytes`,
      expected: `${formatBytes(stated.bytes)} bytes`,
      where,
      next: 'Download it again.',
    };
  }
  const kind = disagree.at(-1);
  if (kind === undefined) return notCompared(file, where);
  return {
    code: 'digest-mismatch',
    severity: 'stop',
    summary: `The size is right, but these are not the bytes of ${what} of ${releaseKey(meant.release)}.`,
    seen: `${kind} ${measured.digests[kind]}`,
    expected: `${kind} ${stated.digests[kind]}`,
    where,
    next: 'Do not use it. Download it again; if it differs again, ask the maker.',
  };
}

/** A right name and size with no digest to compare: that nothing differs is then no agreement. */
function notCompared({ archiveFault }: MeasuredFile, where: string): Finding {
  return {
    code: archiveFault === undefined ? 'digest-mismatch' : 'archive-not-read',
    severity: 'stop',
    summary: archiveFault?.summary ?? 'The firmware file in this archive could not be read.',
    expected: 'bytes whose digests can be compared with the manifest',
    where: archiveFault?.where ?? where,
    next: archiveFault?.next ?? 'Unpack it, then verify the firmware file itself.',
  };
}

/** What is to say of a download because of what it holds. */
function holdingFinding(file: MeasuredFile, meant: Meant): Finding | undefined {
  if (meant.as !== 'download') return undefined;
  if (meant.member !== undefined) {
    return {
      code: 'still-packed',
      severity: 'note',
      summary: 'The firmware file is still packed in this archive.',
      seen: printable(meant.member),
      expected: meant.release.image.name,
      where: file.path,
      next: 'Give this file to: slotproof prepare CARD --from FILE. It takes the firmware file out by itself.',
    };
  }
  if (file.archiveFault !== undefined) {
    return {
      code: 'archive-not-read',
      severity: 'warn',
      summary: file.archiveFault.summary,
      where: file.archiveFault.where ?? file.path,
      next: file.archiveFault.next,
    };
  }
  if (file.members !== undefined) {
    return {
      code: 'digest-mismatch',
      severity: 'stop',
      summary: `This is the maker's download, but it holds no firmware file as the manifest of ${releaseKey(meant.release)} states it.`,
      seen: printable(file.members.map(({ name }) => name).join(', ') || 'an empty archive'),
      expected: `${meant.release.image.name}, ${formatBytes(meant.release.image.bytes)} bytes`,
      where: file.path,
      next: "Check the manifest against the maker's document.",
    };
  }
  return {
    code: 'still-packed',
    severity: 'note',
    summary: 'The firmware file is still packed in this download, in a form that is not opened here.',
    expected: meant.release.image.name,
    where: file.path,
    next: 'Unpack it, then verify the firmware file itself.',
  };
}

function weakDigestOnly(file: MeasuredFile, meant: Meant): Finding {
  return {
    code: 'weak-digest-only',
    severity: 'warn',
    summary: 'The digests agree, but they are no proof against a file that was changed on purpose.',
    seen: Object.keys(meant.stated.digests).join(', '),
    expected: 'sha256, sha384 or sha512',
    where: file.path,
    next: 'Ask the maker for a SHA-256 and add it to the manifest.',
  };
}

function renamed(file: MeasuredFile, expected: string): Finding {
  return {
    code: 'renamed',
    severity: 'warn',
    summary: 'The file does not have the name that the maker gave it. Its contents are right.',
    seen: printable(baseName(file.path)),
    expected,
    where: file.path,
    next: 'Nothing: slotproof prepare writes it under the right name. Do not copy it to a card by hand.',
  };
}

function notInManifests(file: MeasuredFile, nothingKnown: boolean): Finding {
  const webPage = looksLikeWebPage(file.head);
  return {
    code: 'not-in-manifests',
    severity: 'stop',
    summary: nothingKnown
      ? 'There are no sound manifests in this workspace, so no download is known.'
      : webPage
        ? 'This is a web page, and no manifest knows a file like it.'
        : 'No manifest knows a file like this.',
    seen: `${printable(baseName(file.path))}, ${formatBytes(file.bytes)} bytes`,
    where: file.path,
    next: nothingKnown
      ? 'Put the manifests of your products into the workspace, then run: slotproof manifests check'
      : 'Check that it is the right file. If it is a new release, its manifest comes first.',
  };
}
