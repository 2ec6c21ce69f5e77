// Finds a release's image on a card, by its place and by its content, and says in one code what is wrong with it:
//
// 1. A file stands where the image should (its folder, its long or its short name, without case). Then only that
//    file counts, since it is the one that the unit reads:
//    - its chain is damaged: nothing more is said, the damage was told when the card was examined;
//    - its bytes are those of another known release: `other-image`;
//    - its length is another: `image-size-mismatch`; its digests are others: `image-digest-mismatch`;
//    - its bytes are right, and its entry is not: `image-long-name` or `image-misnamed`, `image-fragmented`,
//      `image-slot-too-late`.
// 2. No file stands there, but one with the right bytes stands elsewhere: in the right folder `image-misnamed`, in
//    another `image-misplaced` (whatever its name: it must be moved anyway). It is no stray and nothing is missing.
// 3. Else, another known release's image in the right folder under another name: `other-image`.
// 4. Else `image-missing`. Where a damaged folder may hide the image, neither 3 nor 4 nor a wrong name is told.
//
// Litter is never taken for the image. Work is bounded: sizes are compared before anything is read, and only so
// many files are read in search of the bytes.

import type { DigestKind, Digests } from '../../bytes/digests.ts';
import type { CardRule, Release } from '../../manifest/schema.ts';
import type { Finding } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import { sameCardName } from '../fat/card-name.ts';
import { attribute } from '../fat/directory-entry.ts';
import { caseBitBase, caseBitExtension } from '../fat/short-name.ts';
import type { CardNode, FileNode, FileTree, FolderNode } from '../look/examined-card.ts';
import { folderAt, imagePath, isNamed } from '../look/image-place.ts';
import { type DigestFile, digestsAgree } from '../look/read-file.ts';
import { finding } from './finding-codes.ts';

/** Files of the image's size that are read in search of its bytes. */
const maxSearched = 8;

export interface FoundImage {
  /** The file that stands for the image: at its place, or with its bytes. */
  readonly file: FileNode | null;
  /** Every byte of it was read and agrees with every digest that the release states. */
  readonly agrees: boolean;
  /** What was read of it; null where it was not read to its end. */
  readonly sha256: string | null;
  /** Files of which `other-image` has told already that they do not belong there. */
  readonly told: ReadonlySet<CardNode>;
  /** Known releases that were recognised, by file. */
  readonly recognised: ReadonlyMap<FileNode, Release>;
  readonly findings: readonly Finding[];
}

export interface ImageSearch {
  readonly volume: FileTree;
  readonly digest: DigestFile;
  readonly rule: CardRule;
  readonly release: Release;
  /** Every release that is known, of every product; the one asked for may be among them. */
  readonly known: readonly Release[];
  /** Digests of a file that was read to its end since this card was last written to; else undefined. */
  readonly readBefore?: ((file: FileNode) => Digests | undefined) | undefined;
}

export async function findImage(search: ImageSearch): Promise<FoundImage> {
  const { volume, release } = search;
  const folder = folderAt(volume.root, release.image.folder, search.rule.shortNameOnly);
  const atPlace = folder?.children.find(
    (node): node is FileNode => !node.isFolder && isNamed(node, release.image.name),
  );
  if (atPlace !== undefined) return judgeAtPlace(search, atPlace);

  const sound = volume.nodes.filter((node): node is FileNode => isCandidate(node));
  const sameSize = sound.filter((node) => node.sizeBytes === release.image.bytes);
  const byLikelihood = (node: FileNode): number =>
    node.parent === folder ? 0 : isNamed(node, release.image.name) ? 1 : 2;
  sameSize.sort((a, b) => byLikelihood(a) - byLikelihood(b));
  for (const file of sameSize.slice(0, maxSearched)) {
    const read = await search.digest(file, kindsOf([release]));
    if (read === undefined || !digestsAgree(release.image.digests, read)) continue;
    const sha256 = read.sha256 ?? null;
    return { ...nothing, file, agrees: true, sha256, findings: [elsewhere(file, folder, release)] };
  }
  if (!volume.treeComplete) return nothing;

  const inFolder = sound.filter((node) => node.parent === folder).slice(0, maxSearched);
  for (const file of inFolder) {
    const other = await recognise(search, file);
    if (other === undefined) continue;
    const told = new Set<CardNode>([file]);
    return {
      ...nothing,
      told,
      recognised: new Map([[file, other]]),
      findings: [otherImage(file, other, release)],
    };
  }
  return { ...nothing, findings: [missing(release)] };
}

const nothing: FoundImage = {
  file: null,
  agrees: false,
  sha256: null,
  told: new Set(),
  recognised: new Map(),
  findings: [],
};

/** Without a rule and a release: which of the files are images of releases that are known? */
export async function recogniseImages(
  digest: DigestFile,
  volume: FileTree,
  known: readonly Release[],
): Promise<ReadonlyMap<FileNode, Release>> {
  const sizes = new Set(known.map((release) => release.image.bytes));
  const files = volume.nodes.filter(
    (node): node is FileNode => isCandidate(node) && sizes.has(node.sizeBytes),
  );
  const found = new Map<FileNode, Release>();
  for (const file of files.slice(0, maxSearched)) {
    const release = await recognise({ digest, known }, file);
    if (release !== undefined) found.set(file, release);
  }
  return found;
}

function isCandidate(node: CardNode): node is FileNode {
  return !node.isFolder && node.litter === 'no' && node.chain === 'sound' && !node.damaged;
}

async function recognise(
  search: Pick<ImageSearch, 'digest' | 'known'>,
  file: FileNode,
): Promise<Release | undefined> {
  const known = search.known.filter((release) => release.image.bytes === file.sizeBytes);
  if (known.length === 0) return undefined;
  const read = await search.digest(file, kindsOf(known));
  return read && known.find((release) => digestsAgree(release.image.digests, read));
}

/** SHA-256 is always among them: what was read back is shown by it. */
function kindsOf(releases: readonly Release[]): Set<DigestKind> {
  const kinds = releases.flatMap((release) => Object.keys(release.image.digests) as DigestKind[]);
  return new Set<DigestKind>(['sha256', ...kinds]);
}

async function judgeAtPlace(search: ImageSearch, file: FileNode): Promise<FoundImage> {
  const { release, known } = search;
  const found: FoundImage = { ...nothing, file };
  if (file.chain !== 'sound' || file.damaged) return found;
  const others = known.filter((one) => !isSame(one, release) && one.image.bytes === file.sizeBytes);
  const sameSize = file.sizeBytes === release.image.bytes;
  let read: Digests | undefined;
  if (sameSize || others.length > 0) {
    read = search.readBefore?.(file) ?? (await search.digest(file, kindsOf([release, ...others])));
    // The card ends within the file: a partition or a volume that is too long was told already.
    if (read === undefined) return found;
    if (sameSize && digestsAgree(release.image.digests, read)) {
      if (file.validBytes !== undefined)
        return { ...found, sha256: read.sha256 ?? null, findings: [neverWritten(file, file.validBytes)] };
      return { ...found, agrees: true, sha256: read.sha256 ?? null, findings: entryFindings(search, file) };
    }
  }
  const other = read && others.find((one) => digestsAgree(one.image.digests, read));
  if (other !== undefined) {
    return { ...found, recognised: new Map([[file, other]]), findings: [otherImage(file, other, release)] };
  }
  return { ...found, sha256: read?.sha256 ?? null, findings: [wrongBytes(file, release, read)] };
}

function isSame(a: Release, b: Release): boolean {
  return a.product === b.product && a.version === b.version;
}

function entryFindings({ rule, release }: ImageSearch, file: FileNode): Finding[] {
  const findings: Finding[] = [];
  const where = file.path;
  const lowerCase = (file.caseBits & (caseBitBase | caseBitExtension)) !== 0;
  if (rule.shortNameOnly && (file.hasLongName || lowerCase)) {
    findings.push(
      finding('image-long-name', {
        summary: 'The firmware file’s name is not a plain short one, and this unit looks for nothing else.',
        seen: file.hasLongName
          ? `${file.name}, a long name (short: ${file.shortName})`
          : `${file.name}, in lower case`,
        expected: `${release.image.name}, eight and three characters in upper case`,
        where,
        next: 'Run prepare, which writes the name as the unit reads it.',
      }),
    );
  } else if (!rule.shortNameOnly && !sameCardName(file.name, release.image.name)) {
    findings.push(misnamed(file, release));
  }
  if (rule.contiguous && file.runs.length > 1) {
    findings.push(
      finding('image-fragmented', {
        summary: 'The firmware file lies in several pieces; this unit reads it from one.',
        seen: `${formatBytes(file.runs.length)} pieces`,
        expected: 'one piece',
        where,
        next: 'Run prepare, which writes it in one piece.',
      }),
    );
  }
  if (rule.rootSlots > 0 && file.slot >= rule.rootSlots) {
    findings.push(
      finding('image-slot-too-late', {
        summary: 'The firmware file stands too far back in its folder for this unit to find it.',
        seen: `entry ${file.slot + 1}, deleted and hidden ones counted`,
        expected: `among the first ${rule.rootSlots}`,
        where,
        next: 'Run prepare, which puts it in front.',
      }),
    );
  }
  if ((file.attributes & (attribute.hidden | attribute.system)) !== 0) {
    findings.push(
      finding('image-hidden', {
        summary:
          'The firmware file is marked as hidden or as part of a system; some readers pass such files over.',
        seen: [
          ...((file.attributes & attribute.hidden) !== 0 ? ['hidden'] : []),
          ...((file.attributes & attribute.system) !== 0 ? ['system'] : []),
        ].join(', '),
        expected: 'neither',
        where,
        next: 'Run prepare with --fresh, which writes it without such marks.',
      }),
    );
  }
  return findings;
}

function misnamed(file: FileNode, release: Release): Finding {
  return finding('image-misnamed', {
    summary: 'The firmware file is on the card under another name.',
    seen: file.path,
    expected: imagePath(release.image),
    where: file.path,
    next: 'Run prepare, which gives it the name that the unit looks for.',
  });
}

function elsewhere(file: FileNode, folder: FolderNode | undefined, release: Release): Finding {
  if (file.parent === folder) return misnamed(file, release);
  return finding('image-misplaced', {
    summary: 'The firmware file is on the card, but in another folder than the unit looks in.',
    seen: walkedPath(file),
    expected: imagePath(release.image),
    where: file.path,
    next: 'Run prepare, which puts it where the unit looks.',
  });
}

/** Folders whose short name is another are told with it: a unit may know them by that alone. */
function walkedPath(file: FileNode): string {
  const parts: string[] = [file.name];
  for (let at: FolderNode = file.parent; at.parent !== null; at = at.parent) {
    parts.unshift(sameCardName(at.name, at.shortName) ? at.name : `${at.name} (short: ${at.shortName})`);
  }
  return parts.join('/');
}

function wrongBytes(file: FileNode, release: Release, read: Digests | undefined): Finding {
  const next = 'Run prepare, which writes it anew from the verified download.';
  if (file.sizeBytes !== release.image.bytes) {
    return finding('image-size-mismatch', {
      summary: 'The firmware file on the card is not as long as the release’s.',
      seen: `${formatBytes(file.sizeBytes)} bytes`,
      expected: `${formatBytes(release.image.bytes)} bytes`,
      where: file.path,
      next,
    });
  }
  const kind = (Object.keys(release.image.digests) as DigestKind[]).find(
    (one) => read?.[one] !== release.image.digests[one],
  );
  return finding('image-digest-mismatch', {
    summary: 'The firmware file on the card has other bytes than the release’s.',
    ...(kind === undefined
      ? {}
      : {
          seen: `${kind} ${read?.[kind] ?? 'not read'}`,
          expected: `${kind} ${release.image.digests[kind] ?? ''}`,
        }),
    where: file.path,
    next,
  });
}

/** exFAT: readers that go by the length alone read what the card held there before, others zeros. */
function neverWritten(file: FileNode, validBytes: number): Finding {
  return finding('image-digest-mismatch', {
    summary: 'The last part of the firmware file was never written; what a unit reads there is not known.',
    seen: `${formatBytes(validBytes)} bytes written`,
    expected: `${formatBytes(file.sizeBytes)} bytes`,
    where: file.path,
    next: 'Delete the file from the card, then run prepare, which writes every byte of it.',
  });
}

function otherImage(file: FileNode, other: Release, release: Release): Finding {
  const facts = { expected: `${release.product} ${release.version}`, where: file.path };
  const { withdrawn } = other;
  if (withdrawn === undefined) {
    return finding('other-image', {
      summary: 'The card carries another release than the one asked for.',
      seen: `${other.product} ${other.version}`,
      ...facts,
      next: 'Run prepare for the release asked for, or take the card that was made for it.',
    });
  }
  return finding('other-image', {
    summary: `The card carries ${other.product} ${other.version}, which is withdrawn, not the release asked for.`,
    seen: `${other.product} ${other.version}, withdrawn on ${withdrawn.on}: ${withdrawn.why}`,
    ...facts,
    next: 'Put this card into no unit. Run prepare for the release asked for, which takes the withdrawn one off it.',
  });
}

function missing(release: Release): Finding {
  return finding('image-missing', {
    summary: 'The firmware file is not on the card.',
    expected: `${imagePath(release.image)}, ${formatBytes(release.image.bytes)} bytes`,
    next: 'Run prepare, which writes it.',
  });
}
