// `cards`: the removable drives that are plugged in now, each with the ID that confirms it, and whether it may be
// taken for a card and why. Opens none of them. `--known`, `--label` and `--retire` are about the cards on record.

import { driveFitness, type FitnessLimits, isCardLike, mountPointsOf } from '../card/drives/drive-fitness.ts';
import { driveIds } from '../card/drives/drive-id.ts';
import { type FileSystemName, fileSystemTitles } from '../card/look/examined-card.ts';
import type { Drive } from '../ports/drives.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import { formatBytes, formatSize } from '../words/size.ts';
import type { Answer, OptionValues, Run } from './command.ts';
import type { Context } from './context.ts';
import { textOption } from './option-text.ts';

export interface SeenCard {
  readonly id: string;
  readonly device: string;
  readonly mountPoint: string | null;
  readonly sizeBytes: number | null;
  readonly fileSystem: string | null;
  readonly label: string | null;
  readonly model: string | null;
  readonly usable: boolean;
  readonly why: string;
  readonly serial: string | null;
  readonly bus: string;
  readonly readOnly: boolean;
  readonly partitions: number;
}

export interface SeenCards {
  readonly cards: readonly SeenCard[];
  /** Disks of the computer itself, which are not shown. */
  readonly notShown: number;
}

function seenCard(drive: Drive, id: string, limits: FitnessLimits): SeenCard {
  const { usable, why } = driveFitness(drive, limits);
  const { device, sizeBytes, model, serial, bus, readOnly, parts } = drive;
  const part = parts.find((one) => one.mountPoints.length > 0) ?? parts[0];
  return {
    id,
    device,
    mountPoint: mountPointsOf(drive)[0] ?? null,
    sizeBytes,
    fileSystem: part?.fileSystem ?? null,
    label: part?.label ?? null,
    model,
    usable,
    why,
    serial,
    bus,
    readOnly,
    partitions: drive.partitionTable === null ? 0 : parts.length,
  };
}

/** Where the tool's own things lie, links followed: nothing of it may be on a card that is written to. */
export async function ownPathsOf(context: Context, more: readonly string[] = []): Promise<string[]> {
  const { resolve } = await context.drives();
  return [context.workspace.root, context.shippedManifests, ...more].flatMap((path) => {
    // What is not there yet will lie where the folder above it is.
    let at = path;
    for (let up = 0; up < 64; up++) {
      const found = resolve(at);
      if (found !== undefined) return [found];
      const shorter = at.replace(/[\\/]+[^\\/]*$/, '');
      if (shorter === at || shorter === '') return [];
      at = shorter;
    }
    return [];
  });
}

export async function seeCards(context: Context, limits: FitnessLimits): Promise<SeenCards> {
  const table = await (await context.drives()).list();
  const ids = driveIds(table);
  const shown = table.drives.filter(isCardLike);
  return {
    cards: shown.map((drive) => seenCard(drive, ids.get(drive.device) ?? '', limits)),
    notShown: table.drives.filter((drive) => drive.bus !== 'virtual').length - shown.length,
  };
}

const title = (name: string) => fileSystemTitles[name as FileSystemName] ?? printable(name, 20);

function cardLines(card: SeenCard): string[] {
  const size = card.sizeBytes === null ? 'empty' : formatSize(card.sizeBytes);
  const says = [
    size,
    card.fileSystem === null ? null : title(card.fileSystem),
    card.label === null ? null : `label ${printable(card.label, 40)}`,
    card.model === null ? null : printable(card.model, 60),
  ].filter((part) => part !== null);
  const at = card.mountPoint === null ? 'not mounted' : printable(card.mountPoint, 500);
  return [
    `${card.id}  ${says.join(', ')}`,
    `           ${printable(card.device, 200)}, ${at}`,
    `           ${card.usable ? 'usable' : 'not usable'}: ${card.why}`,
  ];
}

function lastLine({ cards }: SeenCards): string {
  const usable = cards.filter((card) => card.usable);
  if (cards.length === 0) return 'no card: put one in, wait a few seconds, and ask again';
  if (usable.length === 0) return 'no card that can be written to is plugged in';
  if (usable.length === 1) return `one card can be written to: ${usable[0]?.id ?? ''}`;
  return `${formatBytes(usable.length)} cards can be written to; give the ID of the one that is meant`;
}

/** undefined: what is asked for is plugged in. */
async function ofTheRecord(context: Context, options: OptionValues): Promise<Answer | undefined> {
  const retire = textOption(options, 'retire', '--retire', 4096);
  if (retire !== undefined) {
    const why = textOption(options, 'why', '--why', 500);
    if (why === undefined) throw missing('Why the card is retired was not said.', '--why');
    const { retireCard } = await import('./cards-known.ts');
    return await retireCard(context, retire, why);
  }
  if (Array.isArray(options.label)) {
    const { makeLabels } = await import('./cards-label.ts');
    const out = textOption(options, 'out', '--out', 4096);
    return await makeLabels(context, {
      names: options.label,
      format: options.format === 'pdf' ? 'pdf' : 'text',
      out,
    });
  }
  if (options.known !== true) return undefined;
  const { listKnown } = await import('./cards-known.ts');
  return await listKnown(context);
}

function missing(summary: string, option: string): Failure {
  return new Failure({
    code: 'option-missing',
    exit: 2,
    summary,
    expected: option,
    next: `Run it again with ${option}.`,
  });
}

export const run: Run = async (context, _, options) => {
  const known = await ofTheRecord(context, options);
  if (known !== undefined) return known;
  let maxBytes: number | undefined;
  if (typeof options.for === 'string') {
    const { requireWantedRelease } = await import('./wanted-release.ts');
    maxBytes = (await requireWantedRelease(context, options.for)).product.card.capacity.maxBytes;
  }
  const seen = await seeCards(context, { maxBytes, ownPaths: await ownPathsOf(context) });
  const lines = seen.cards.flatMap(cardLines);
  if (lines.length > 0) lines.push('');
  if (seen.notShown > 0) {
    lines.push(
      seen.notShown === 1
        ? 'One internal drive is not shown.'
        : `${seen.notShown} internal drives are not shown.`,
    );
  }
  return {
    exit: exitCode.done,
    json: { cards: seen.cards, notShown: seen.notShown },
    text: [...lines, lastLine(seen)].join('\n'),
  };
};
