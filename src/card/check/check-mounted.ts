// Is this mounted card ready for that release, as far as its files and the system's word tell? Everything else is named:
// `not-examined` where a sound card is likely, a stop where the card rule asks for just that, or where what was read may
// be what the computer remembers. So `ready` from here means that nothing the rule asks for was left out.

import type { CardRule, Release } from '../../manifest/schema.ts';
import type { Finding } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import { type FileNode, fileSystemTitles, type TableKind } from '../look/examined-card.ts';
import type { DigestFile } from '../look/read-file.ts';
import type { MountedCard } from '../mounted/mounted-card.ts';
import { checkAfterUse } from './after-use.ts';
import {
  type CheckedCard,
  type CheckRequest,
  checkStanding,
  inOrder,
  verdictFor,
  writeProtected,
} from './check-card.ts';
import { checkCapacity, checkClusterSize, checkFileSystem, checkTable } from './check-rule.ts';
import { checkStrays, roleOf } from './check-strays.ts';
import { type FoundImage, findImage, recogniseImages } from './find-image.ts';
import { finding } from './finding-codes.ts';

export interface MountedRequest {
  readonly wanted?: CheckRequest['wanted'];
  readonly known: readonly Release[];
  /** What is read of a file was on the card at that moment, and so were the folders that lead to it. */
  readonly readFromCard: boolean;
  readonly digest: DigestFile;
  /** The card itself is looked at as well: then nothing is left out. */
  readonly examined?: boolean;
}

const withRights =
  'Run it with administrator rights (sudo), or be let into the group that owns the device; on macOS and Windows use a Linux computer.';
const tables: readonly TableKind[] = ['mbr', 'gpt', 'none'];

export async function checkMounted(card: MountedCard, request: MountedRequest): Promise<CheckedCard> {
  const general = [
    ...(card.readOnly ? [writeProtected()] : []),
    ...entries(card),
    ...(request.examined === true ? [] : [notExamined(card)]),
  ];
  const { wanted, known, digest } = request;
  if (wanted === undefined) {
    const recognised = await recogniseImages(digest, card.tree, known);
    return {
      verdict: general.some(({ severity }) => severity === 'stop') ? 'unsound' : 'sound',
      findings: inOrder(general),
      image: null,
      imageAgrees: false,
      imageSha256: null,
      recognised,
      roleOf: (node) => (!node.isFolder && recognised.has(node) ? 'image' : roleOf(node, null)),
    };
  }
  const { release, rule } = wanted;
  const { tree } = card;
  const found = await findImage({ digest, volume: tree, rule, release, known });
  const room = noRoom(card, rule, release, found);
  const strays = checkStrays(tree, rule, found.file, release.image.folder, found.told);
  const findings = [
    ...general,
    ...byRule(card, rule).filter((one) => request.examined !== true || one.code !== 'rule-needs-device'),
    ...room,
    ...found.findings.filter((one) => room.length === 0 || one.code !== 'image-missing'),
    ...strays,
    ...(found.file !== null && !found.agrees && found.findings.length === 0 ? [otherLength(found.file)] : []),
    ...(found.agrees && !request.readFromCard ? [notFromCard(found)] : []),
  ];
  findings.push(...checkAfterUse({ afterUse: rule.afterUse, resultFile: wanted.resultFile }, tree, findings));
  findings.push(...checkStanding(wanted));
  return {
    verdict: verdictFor(findings, found.agrees),
    findings: inOrder(findings),
    image: found.file,
    imageAgrees: found.agrees,
    imageSha256: found.sha256,
    recognised: found.recognised,
    roleOf: (node) => roleOf(node, found.file),
  };
}

function byRule(card: MountedCard, rule: CardRule): Finding[] {
  const { fileSystem, partitionTable, partitions } = card;
  const title =
    fileSystem === null ? (card.fileSystemSaid ?? 'something unknown') : fileSystemTitles[fileSystem];
  const allowed = fileSystem !== null && (rule.fileSystems as readonly string[]).includes(fileSystem);
  const findings = [
    ...checkCapacity(card.sizeBytes, rule),
    ...(partitionTable === null ? [] : checkTable(partitionTable, rule)),
    ...checkFileSystem(title, allowed, rule),
    ...(allowed ? checkClusterSize(card.clusterBytes, rule) : []),
  ];
  if (partitions > 1) {
    findings.push(
      finding('several-partitions', {
        summary: 'The card has several partitions; a unit may look into the wrong one.',
        seen: `${partitions} partitions`,
        expected: 'one partition, or none',
        next: 'Run prepare with --fresh, which lays the card out anew, or take another card.',
      }),
    );
  }
  const asked = [
    ...(rule.contiguous ? ['the firmware file in one piece'] : []),
    ...(rule.rootSlots > 0 ? ['the firmware file among the first entries of its folder'] : []),
    ...(rule.activePartition && partitionTable !== 'none' ? ['the active flag of its partition'] : []),
    ...(partitionTable === null && tables.some((kind) => !rule.partitionTables.includes(kind))
      ? ['a certain partition table']
      : []),
  ];
  if (asked.length === 0) return findings;
  return [
    ...findings,
    finding('rule-needs-device', {
      summary: 'This unit asks for something that cannot be seen where the card is mounted.',
      seen: 'the files of the card alone',
      expected: asked.join('; '),
      next: withRights,
    }),
  ];
}

function entries({ tree }: MountedCard): Finding[] {
  const [first] = tree.unknown;
  const facts = { next: 'Look at it by hand, and take it off the card; or take another card.' };
  if (first !== undefined) {
    const summary =
      'There is something on the card that is neither a file nor a folder, or whose name cannot be read.';
    const seen = `${first}${tree.unknown.length > 1 ? `, and ${formatBytes(tree.unknown.length - 1)} more` : ''}`;
    return [finding('entry-unknown', { summary, seen, where: first, ...facts })];
  }
  if (tree.treeComplete) return [];
  return [
    finding('entry-unknown', {
      summary: 'There are more files and folders on the card than are looked at.',
      ...facts,
    }),
  ];
}

function notExamined({ fileSystem }: MountedCard): Finding {
  const fat =
    fileSystem === 'exfat'
      ? 'the tables of the file system'
      : 'the copies of the FAT, the short names behind long ones';
  return finding('not-examined', {
    summary: `Only its files were looked at, where the card is mounted; not looked at: its first sectors, ${fat}, its marks for damage and early pulling.`,
    next: withRights,
  });
}

function notFromCard({ file }: FoundImage): Finding {
  return finding('not-read-from-card', {
    summary: 'The bytes agree, but they may be what the computer remembers of the card.',
    ...(file === null ? {} : { where: file.path }),
    next: 'Run prepare, which reads them once the card was out; or take the card out, put it back in, and check it again.',
  });
}

function otherLength(file: FileNode): Finding {
  return finding('image-size-mismatch', {
    summary: 'The firmware file does not give as many bytes as its folder says.',
    expected: `${formatBytes(file.sizeBytes)} bytes`,
    where: file.path,
    next: 'Take another card; this one cannot be trusted.',
  });
}

function noRoom(card: MountedCard, rule: CardRule, release: Release, found: FoundImage): Finding[] {
  if (found.agrees) return [];
  const roomBytes = roomFor(card, rule, found);
  if (release.image.bytes <= roomBytes) return [];
  return [
    finding('no-room', {
      summary: 'There is no room on the card for the firmware file.',
      seen: `room for ${formatBytes(roomBytes)} bytes`,
      expected: `${formatBytes(release.image.bytes)} bytes`,
      next: 'Take a larger card, or run prepare with --fresh.',
    }),
  ];
}

/** Once everything that would go is gone. */
function roomFor({ tree, clusterBytes, freeBytes }: MountedCard, rule: CardRule, found: FoundImage): number {
  const leaving = rule.onlyFile
    ? tree.nodes
    : tree.nodes.filter((node) => node === found.file || found.told.has(node));
  const clusters = leaving.reduce((sum, node) => sum + Math.ceil(node.sizeBytes / clusterBytes), 0);
  return freeBytes + clusters * clusterBytes;
}
