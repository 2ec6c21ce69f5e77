// `check CARD [--for RELEASE]`: looks at a card and changes nothing. With a release the answer is whether its unit
// would take the card now; without one, whether the card itself is sound. A card that the record knows is noted there.

import { type CheckedCard, checkCard } from '../card/check/check-card.ts';
import { worstStop } from '../card/check/worst-stop.ts';
import { examineCard } from '../card/look/examine-card.ts';
import { type CardNode, type ExaminedCard, fileSystemTitles, freeBytes } from '../card/look/examined-card.ts';
import type { BlockReader } from '../ports/blocks.ts';
import type { EntryAddress } from '../ports/record-store.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import { formatBytes, formatSize } from '../words/size.ts';
import type { SeenDrive } from './card-place.ts';
import type { Answer, Run } from './command.ts';
import type { Context } from './context.ts';
import { isDrivePlace } from './drive-place.ts';
import type { MountedPlace } from './mounted-place.ts';
import type { WantedRelease } from './wanted-release.ts';

const line = (name: string, value: string): string => `${name.padEnd(8)}${value}`;

/** Files that are named on the screen; `--json` names all. */
const maxListed = 12;

export const run: Run = async (context, [given], options) => {
  const place = await requireCardPlace(context, given);
  const wanted = typeof options.for === 'string' ? await requireWanted(context, options.for) : undefined;
  const { checked, ...found } = await look(context, place, wanted);
  const entry = await onRecord(context, place, checked, wanted);
  return entry === undefined ? found : { ...found, json: { ...found.json, entry } };
};

type Looked = Answer & { readonly checked: CheckedCard };

async function look(context: Context, place: CardPlace, wanted: WantedRelease | undefined): Promise<Looked> {
  const blocks = await openOrMounted(context, place);
  if ('mountPoint' in blocks) return await answerByFiles(context, blocks, wanted);
  try {
    return await answer(context, place.path, blocks, wanted, place.isMounted);
  } finally {
    blocks.close();
  }
}

/** Where there is no record, nothing is loaded for it. */
async function onRecord(
  context: Context,
  { path, seen }: CardPlace,
  { verdict, findings }: CheckedCard,
  wanted: WantedRelease | undefined,
): Promise<EntryAddress | undefined> {
  if (context.files.facts(context.workspace.record) === undefined) return undefined;
  const { rememberCheck } = await import('./remember-check.ts');
  const release = wanted && `${wanted.release.product}@${wanted.release.version}`;
  const stops = [...new Set(findings.filter(({ severity }) => severity === 'stop').map(({ code }) => code))];
  const found = { ...(release && { release }), verdict, stops };
  return await rememberCheck(context, { path, drive: seen?.drive }, found);
}

interface CardPlace {
  readonly path: string;
  readonly isMounted: boolean;
  /** undefined: a card image file. */
  readonly seen?: SeenDrive;
}

/** The card itself; where this user may not open that, its files where it is mounted. */
async function openOrMounted(
  context: Context,
  { path, seen }: CardPlace,
): Promise<(BlockReader & { close(): void }) | MountedPlace> {
  try {
    return context.cards.openToRead(path);
  } catch (error) {
    if (seen === undefined) throw error;
    const { closedToUser, isClosedToUser, mayLookAtFiles, mountedPlaceOf } = await import(
      './mounted-place.ts'
    );
    if (!isClosedToUser(error) || !mayLookAtFiles(seen.drive)) throw error;
    const place = mountedPlaceOf(seen.drive, seen.as === 'mount-point' ? seen.leadsTo : undefined);
    if (place === undefined) throw closedToUser(error, seen.drive);
    return place;
  }
}

async function answerByFiles(
  context: Context,
  place: MountedPlace,
  wanted: WantedRelease | undefined,
): Promise<Looked> {
  const { checkByFiles, mountedCardJson, mountedCardLines } = await import('./check-by-files.ts');
  const { card, checked } = await checkByFiles(context, place, wanted, (hasFiles) =>
    knownReleases(context, hasFiles, wanted),
  );
  const lines = [...mountedCardLines(card), ...fileLines(card.tree.nodes, checked)];
  return answered(context, checked, wanted, mountedCardJson(card, checked), lines);
}

async function requireCardPlace(context: Context, given: string | undefined): Promise<CardPlace> {
  if (given !== undefined && !isDrivePlace(context, given)) return { path: given, isMounted: false };
  const [{ requireCardChoice, requireSeenDrive }, { mountPointsOf }] = await Promise.all([
    import('./card-place.ts'),
    import('../card/drives/drive-fitness.ts'),
  ]);
  const named = given ?? (await requireCardChoice(context, 'Which card?'));
  if (!isDrivePlace(context, named)) return { path: named, isMounted: false };
  const seen = await requireSeenDrive(context, named);
  return { path: seen.drive.device, isMounted: mountPointsOf(seen.drive).length > 0, seen };
}

async function requireWanted(context: Context, text: string): Promise<WantedRelease> {
  const { requireWantedRelease } = await import('./wanted-release.ts');
  return requireWantedRelease(context, text);
}

async function answer(
  context: Context,
  path: string,
  blocks: BlockReader,
  wanted: WantedRelease | undefined,
  isMounted: boolean,
): Promise<Looked> {
  const examined = examineCard(blocks);
  const card = isMounted ? withoutMountMark(examined) : examined;
  const progress = context.terminal.progress('reading', 'bytes');
  let checked: CheckedCard;
  try {
    checked = await checkCard(card, blocks, {
      wanted: wanted && {
        release: wanted.release,
        rule: wanted.product.card,
        resultFile: wanted.product.resultFile,
        withdrawalsUnread: (await context.catalogue()).withdrawalsUnread,
      },
      known: await knownReleases(context, card.volume?.nodes.some((node) => !node.isFolder) === true, wanted),
      writeProtected: context.cards.isWriteProtected(path),
      progress: progress.at,
    });
  } finally {
    progress.end();
  }
  const json = cardJson(context.files.absolute(path), blocks.proof === 'direct', card, checked);
  const lines = cardLines(context.files.absolute(path), card, checked);
  return answered(context, checked, wanted, json, lines);
}

function answered(
  { terminal }: Context,
  checked: CheckedCard,
  wanted: WantedRelease | undefined,
  card: Readonly<Record<string, unknown>>,
  lines: readonly string[],
): Looked {
  const good = checked.verdict === 'ready' || checked.verdict === 'sound';
  return {
    checked,
    exit: good ? exitCode.done : exitCode.no,
    json: {
      verdict: checked.verdict,
      release: wanted === undefined ? null : `${wanted.release.product}@${wanted.release.version}`,
      card,
      findings: checked.findings,
    },
    text: [
      ...lines,
      ...(checked.findings.length > 0 ? ['', renderFindings(checked.findings, terminal)] : []),
      '',
      verdictLine(checked, wanted),
    ].join('\n'),
  };
}

/** The system itself sets the mark as long as a card is mounted, and takes it away when it is ejected. */
function withoutMountMark(card: ExaminedCard): ExaminedCard {
  const others = card.findings.filter(({ code }) => code !== 'volume-dirty');
  if (others.length === card.findings.length) return card;
  const told: Finding = {
    code: 'not-examined',
    severity: 'warn',
    summary: 'Whether the card was ejected properly the last time cannot be told while it is mounted.',
    next: 'Eject it before it is taken out; to be sure, unmount it and check it once more by its device.',
  };
  return { ...card, findings: [...others, told] };
}

/** Manifests are read only where there is a file that one of them could know. */
async function knownReleases(context: Context, hasFiles: boolean, wanted: WantedRelease | undefined) {
  if (wanted === undefined && !hasFiles) return [];
  try {
    return (await context.catalogue()).releases;
  } catch (error) {
    // Without a release asked for, manifests only help to name what is there.
    if (wanted === undefined && error instanceof Failure) return [];
    throw error;
  }
}

function cardJson(
  path: string,
  isDevice: boolean,
  card: ExaminedCard,
  checked: CheckedCard,
): Record<string, unknown> {
  const { volume } = card;
  const nodes = volume?.nodes ?? [];
  return {
    kind: isDevice ? 'device' : 'image-file',
    path,
    sizeBytes: card.sizeBytes,
    partitionTable: card.partitionTable,
    partitions: card.partitions.map((partition) => ({
      number: partition.number,
      startBytes: partition.startBytes,
      sizeBytes: partition.lengthBytes,
      type: partition.typeGuid ?? partition.type?.toString(16).toUpperCase().padStart(2, '0') ?? null,
      active: partition.active,
      fileSystem: partition.fileSystem,
    })),
    fileSystem: card.fileSystem,
    label: volume?.label ?? null,
    volumeId: volume?.volumeId ?? null,
    clusterBytes: volume?.geometry.clusterBytes ?? null,
    freeBytes: volume ? freeBytes(volume) : null,
    files: nodes
      .filter((node) => !node.isFolder)
      .map((node) => ({ path: node.path, bytes: node.sizeBytes, role: checked.roleOf(node) })),
    emptyFolders: nodes
      .filter((node) => node.isFolder && node.children.length === 0)
      .map((node) => ({ path: node.path, role: checked.roleOf(node) })),
  };
}

function cardLines(path: string, card: ExaminedCard, checked: CheckedCard): string[] {
  const { volume } = card;
  const table = { none: 'no partition table', mbr: 'MBR', gpt: 'GPT' }[card.partitionTable];
  const count = card.partitions.length;
  const partitions = count === 0 ? '' : count === 1 ? ', one partition' : `, ${count} partitions`;
  const lines = [
    line('card', printable(path, 1000)),
    line('size', `${formatSize(card.sizeBytes)} (${formatBytes(card.sizeBytes)} bytes)`),
    line('table', table + partitions),
  ];
  if (volume === null || card.fileSystem === null) {
    const name = card.fileSystem === null ? 'none that can be read' : fileSystemTitles[card.fileSystem];
    return [...lines, line('volume', name)];
  }
  const label = volume.label === null ? 'no label' : `label ${printable(volume.label, 40)}`;
  const clusters = `clusters of ${formatBytes(volume.geometry.clusterBytes)} bytes`;
  lines.push(line('volume', `${fileSystemTitles[card.fileSystem]}, ${label}, ${clusters}`));
  lines.push(line('free', formatSize(freeBytes(volume))));
  return [...lines, ...fileLines(volume.nodes, checked)];
}

function fileLines(nodes: readonly CardNode[], checked: CheckedCard): string[] {
  const lines: string[] = [];
  const files = nodes.filter((node) => !node.isFolder);
  if (files.length === 0) lines.push(line('files', 'none'));
  files.slice(0, maxListed).forEach((file, i) => {
    const release = checked.recognised.get(file);
    const gone = release?.withdrawn === undefined ? '' : ', withdrawn';
    const known = release === undefined ? '' : ` (${release.product} ${release.version}${gone})`;
    const role =
      file === checked.image ? 'firmware file' : checked.roleOf(file) === 'litter' ? 'litter' : undefined;
    const says = role === undefined ? '' : `, ${role}`;
    const text = `${printable(file.path, 200)}, ${formatBytes(file.sizeBytes)} bytes${says}${known}`;
    lines.push(line(i === 0 ? 'files' : '', text));
  });
  if (files.length > maxListed) lines.push(line('', `and ${formatBytes(files.length - maxListed)} more`));
  return lines;
}

function verdictLine(checked: CheckedCard, wanted: WantedRelease | undefined): string {
  const release = wanted && `${wanted.release.product}@${wanted.release.version}`;
  switch (checked.verdict) {
    case 'ready':
      return `ready: the unit takes this card for ${release}; every byte of the firmware file was read and agrees`;
    case 'fixable':
      return `fixable: prepare makes this card ready for ${release} and keeps its format`;
    case 'unfit':
      return `unfit: not for ${release} as it is. ${worstStop(checked.findings)?.next ?? ''}`.trimEnd();
    case 'sound':
      return 'sound: nothing is wrong with the card itself; say --for RELEASE to ask whether a unit takes it';
    case 'unsound':
      return 'unsound: see the last finding';
  }
}
