// Is this card ready for that release? The rules together: what the look found, the card rule, the image read
// byte by byte, strays, room; and the verdict. `prepare` asks the same again after it has written. Without a
// release the verdict is of the card alone.

import type { CardRule, Release } from '../../manifest/schema.ts';
import { type Unread, withdrawalsUnread } from '../../manifest/withdrawals.ts';
import type { BlockReader } from '../../ports/blocks.ts';
import { bySeverity, type Finding, hasStop } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import type { CardNode, CardVolume, ExaminedCard, FileNode } from '../look/examined-card.ts';
import { type DigestFile, digestFile, type ReadProgress } from '../look/read-file.ts';
import { type AfterUseRule, checkAfterUse } from './after-use.ts';
import { checkRule } from './check-rule.ts';
import { checkStrays, type Role, roleOf } from './check-strays.ts';
import { type FoundImage, findImage, type ImageSearch, recogniseImages } from './find-image.ts';
import { finding, stopKind } from './finding-codes.ts';
import { roomWithout } from './room.ts';

export type CardVerdict = 'ready' | 'fixable' | 'unfit' | 'sound' | 'unsound';

export interface CheckRequest {
  /** The release asked for and its product's card rule; without them only the card itself is judged. */
  readonly wanted?:
    | {
        readonly release: Release;
        readonly rule: CardRule;
        /** Of the product, where its units leave one. */
        readonly resultFile?: AfterUseRule['resultFile'];
        /** Where nobody can tell whether it was withdrawn on record. */
        readonly withdrawalsUnread?: Unread | undefined;
      }
    | undefined;
  /** Every release that is known, so that another one's image is told as such. */
  readonly known: readonly Release[];
  readonly writeProtected: boolean;
  /** Of each file whose bytes are read. */
  readonly progress?: ReadProgress | undefined;
  /** Digests of a file whose every byte was read from this card already; `prepare` reads the image once. */
  readonly readBefore?: ImageSearch['readBefore'];
}

export interface CheckedCard {
  readonly verdict: CardVerdict;
  /** Least important first. */
  readonly findings: readonly Finding[];
  /** The file that stands for the image; see `find-image.ts`. */
  readonly image: FileNode | null;
  /** Every byte of it was read and agrees. */
  readonly imageAgrees: boolean;
  readonly imageSha256: string | null;
  /** Known releases that files on the card were recognised as. */
  readonly recognised: ReadonlyMap<FileNode, Release>;
  readonly roleOf: (node: CardNode) => Role;
}

export async function checkCard(
  card: ExaminedCard,
  blocks: BlockReader,
  request: CheckRequest,
): Promise<CheckedCard> {
  const general = request.writeProtected ? [writeProtected()] : [];
  const { wanted } = request;
  if (wanted === undefined) return checkAlone(card, blocks, request, general);

  const { release, rule } = wanted;
  const byRule = checkRule(card, rule);
  const toldByRule = byRule.some((one) => one.code === 'file-system-not-allowed');
  const findings = [
    ...general,
    ...card.findings.filter((one) => !(toldByRule && one.code === 'file-system-not-allowed')),
    ...byRule,
  ];
  let found: FoundImage | undefined;
  if (card.volume !== null) {
    const { volume } = card;
    const { known, progress, readBefore } = request;
    const digest: DigestFile = (file, kinds) => digestFile(blocks, volume, file, kinds, progress);
    found = await findImage({ digest, volume, rule, release, known, readBefore });
    const room = noRoom(volume, rule, release, found);
    // Where there is no room the image cannot be there: then that it is missing is no news.
    findings.push(
      ...room,
      ...found.findings.filter((one) => room.length === 0 || one.code !== 'image-missing'),
    );
    findings.push(...checkStrays(volume, rule, found.file, release.image.folder, found.told));
    const { afterUse } = rule;
    findings.push(...checkAfterUse({ afterUse, resultFile: wanted.resultFile }, volume, findings));
  }
  findings.push(...checkStanding(wanted));
  const image = found?.file ?? null;
  return {
    verdict: verdictFor(findings, found?.agrees === true),
    findings: inOrder(findings),
    image,
    imageAgrees: found?.agrees ?? false,
    imageSha256: found?.sha256 ?? null,
    recognised: found?.recognised ?? new Map(),
    roleOf: (node) => roleOf(node, image),
  };
}

async function checkAlone(
  card: ExaminedCard,
  blocks: BlockReader,
  { known, progress }: CheckRequest,
  general: readonly Finding[],
): Promise<CheckedCard> {
  const findings = [...general, ...card.findings];
  const { volume } = card;
  const recognised =
    volume === null
      ? new Map()
      : await recogniseImages(
          (file, kinds) => digestFile(blocks, volume, file, kinds, progress),
          volume,
          known,
        );
  return {
    verdict: hasStop(findings) ? 'unsound' : 'sound',
    findings: inOrder(findings),
    image: null,
    imageAgrees: false,
    imageSha256: null,
    recognised,
    roleOf: (node) => (!node.isFolder && recognised.has(node) ? 'image' : roleOf(node, null)),
  };
}

/** `ready` takes more than the absence of stops: the bytes must have been read. */
export function verdictFor(
  findings: readonly Finding[],
  imageAgrees: boolean,
): 'ready' | 'fixable' | 'unfit' {
  if (findings.some((one) => stopKind(one) === 'unfit')) return 'unfit';
  if (findings.some((one) => stopKind(one) === 'fixable')) return 'fixable';
  return imageAgrees ? 'ready' : 'unfit';
}

/** Notes, warnings, stops that `prepare` puts right, stops that it does not; as found within each. */
export function inOrder(findings: readonly Finding[]): Finding[] {
  const unfit = findings.filter((one) => stopKind(one) === 'unfit');
  return [...bySeverity(findings.filter((one) => stopKind(one) !== 'unfit')), ...unfit];
}

/** Asked only where the image has to be written. */
function noRoom(volume: CardVolume, rule: CardRule, release: Release, found: FoundImage): Finding[] {
  if (found.agrees && !found.findings.some((one) => one.code === 'image-fragmented')) return [];
  const { clusterBytes } = volume.geometry;
  const needed = Math.ceil(release.image.bytes / clusterBytes);
  const leaving = rule.onlyFile
    ? volume.nodes
    : volume.nodes.filter((node) => node === found.file || found.told.has(node));
  const { freeClusters, longestRun } = roomWithout(volume, leaving);
  const room = rule.contiguous ? longestRun : freeClusters;
  if (needed <= room) return [];
  return [
    finding('no-room', {
      summary: rule.contiguous
        ? 'There is no room on the card for the firmware file in one piece.'
        : 'There is no room on the card for the firmware file.',
      seen: `room for ${formatBytes(room * clusterBytes)} bytes`,
      expected: `${formatBytes(release.image.bytes)} bytes`,
      next: 'Take a larger card, or run prepare with --fresh.',
    }),
  ];
}

export function writeProtected(): Finding {
  return finding('write-protected', {
    summary: 'The card is write-protected: a unit reads it, but nothing can be put right on it.',
    next: 'Nothing to carry it as it is; take the protection off before prepare.',
  });
}

/** Whether the release may be carried anywhere at all. */
export function checkStanding({ release, withdrawalsUnread: unread }: NonNullable<CheckRequest['wanted']>) {
  if (release.withdrawn !== undefined) return [withdrawnFinding(release)];
  if (unread === undefined) return [];
  const { code: _, ...text } = withdrawalsUnread(`${release.product} ${release.version}`, unread);
  return [finding('withdrawals-unread', text)];
}

/** Also told of a card that does not exist yet. */
export function withdrawnFinding(release: Release): Finding {
  const { on, why, doThis } = release.withdrawn ?? { on: '', why: '' };
  return finding('withdrawn', {
    summary: `${release.product} ${release.version} is withdrawn.`,
    seen: `withdrawn on ${on}: ${why}`,
    next: doThis ?? 'Do not install it; ask for the release that takes its place.',
  });
}
