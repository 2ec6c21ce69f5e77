// What `prepare` is asked for, made sure of before the card is looked at: which card, which release, a new card
// image file or one that is there, the person's consent. Reads and writes no card.

import { newestRelease, releaseKey } from '../manifest/catalogue.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import { parseSize } from '../words/size.ts';
import type { CardName } from './card-name.ts';
import {
  type GuardedDrive,
  requireCardChoice,
  requireConfirmedId,
  requireGuardedDrive,
} from './card-place.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { isDrivePlace } from './drive-place.ts';
import { textOption } from './option-text.ts';
import type { WantedRelease } from './wanted-release.ts';

export interface PrepareOrder {
  /** A card image file as the person gave it, which is also the ID that confirms it; of a drive its device. */
  readonly path: string;
  /** What `--confirm` wants. */
  readonly id: string;
  /** undefined: a card image file. */
  readonly drive: GuardedDrive | undefined;
  readonly wanted: WantedRelease;
  readonly from: string | undefined;
  readonly fresh: boolean;
  /** A card image file that does not exist yet. */
  readonly newBytes: number | undefined;
  readonly dryRun: boolean;
  /** Consent was given with the command; else it is asked for. */
  readonly confirmed: boolean;
  readonly by: string | undefined;
  /** By which it goes on record; undefined: by its path. */
  readonly cardName: CardName | undefined;
  readonly despiteHalt: string | undefined;
}

const optionText = (options: OptionValues, name: string) => {
  const value = options[name];
  return typeof value === 'string' ? value : undefined;
};

function requireSize(text: string, fresh: boolean): number {
  const bytes = parseSize(text);
  if (bytes === undefined || bytes === 0) {
    throw new Failure({
      code: 'bad-size',
      exit: 2,
      summary: 'This is no size of a card.',
      seen: printable(text, 40),
      expected: 'a size such as 4GB, 512MiB or plain bytes',
      where: '--size',
      next: 'Give --size again.',
    });
  }
  if (fresh) return bytes;
  throw new Failure({
    code: 'size-without-fresh',
    exit: 2,
    summary: 'A new card image file is laid out anew, so --size goes with --fresh.',
    where: '--size',
    next: 'Add --fresh, or leave --size out.',
  });
}

function requirePlace(context: Context, path: string, newBytes: number | undefined): void {
  const exists = context.cards.exists(path);
  if (newBytes === undefined && !exists) {
    throw new Failure({
      code: 'card-absent',
      exit: 2,
      summary: 'There is no such card.',
      where: path,
      next: 'Check the path; or make a card image file with --fresh --size 4GB.',
    });
  }
  if (newBytes === undefined) return;
  if (exists) {
    throw new Failure({
      code: 'card-exists',
      exit: 5,
      summary: 'There is a file of that name already; it is not replaced.',
      where: path,
      next: 'Leave --size out to prepare that card, or choose another name.',
    });
  }
  if (/\.img$/i.test(path)) return;
  throw new Failure({
    code: 'not-a-card-image',
    exit: 2,
    summary: 'A card image file needs a name that ends in .img.',
    where: path,
    next: 'Choose another name.',
  });
}

function requireSameId(path: string, confirm: string | undefined): boolean {
  if (confirm === undefined || confirm === path) return confirm !== undefined;
  throw new Failure({
    code: 'other-card-confirmed',
    exit: 5,
    summary: 'The card that is confirmed is not the card that is named.',
    seen: `--confirm ${printable(confirm, 200)}`,
    expected: `--confirm ${printable(path, 200)}`,
    next: 'Look which card is meant, then give the same for both.',
  });
}

async function requireRelease(context: Context, given: string | undefined): Promise<WantedRelease> {
  const { requireWantedRelease } = await import('./wanted-release.ts');
  if (given !== undefined) return await requireWantedRelease(context, given);
  const catalogue = await context.catalogue();
  const newest = [...catalogue.products.keys()].flatMap((id) => newestRelease(catalogue, id) ?? []);
  if (newest.length === 0) {
    throw new Failure({
      code: 'no-release',
      exit: 2,
      summary: 'No release is known here.',
      where: context.workspace.manifests,
      next: 'Put manifests into the workspace first, then run: slotproof manifests check',
    });
  }
  const choices = newest.map((release) => ({
    value: releaseKey(release),
    label: `${releaseKey(release)}  ${printable(catalogue.products.get(release.product)?.name ?? '', 80)}`,
  }));
  return await requireWantedRelease(
    context,
    await context.terminal.choose('For which release?', choices, '--for RELEASE'),
  );
}

async function nameOf(
  context: Context,
  typed: string | undefined,
  drive: GuardedDrive | undefined,
  dryRun: boolean,
): Promise<CardName | undefined> {
  if (typed === undefined && drive === undefined) return undefined;
  const { cardNameFor, requireCardName } = await import('./card-name.ts');
  const asked = typed === undefined ? undefined : requireCardName(typed, '--card');
  return await cardNameFor(context, asked, drive?.chosen.drive, dryRun);
}

export async function requireOrder(
  context: Context,
  given: string | undefined,
  options: OptionValues,
): Promise<PrepareOrder> {
  const fresh = options.fresh === true;
  const size = optionText(options, 'size');
  const newBytes = size === undefined ? undefined : requireSize(size, fresh);
  const by = textOption(options, 'by', '--by', 80);
  const despiteHalt = textOption(options, 'despiteHalt', '--despite-halt', 500);
  const named = given ?? (await requireCardChoice(context, 'Which card?'));
  const confirm = optionText(options, 'confirm');
  const isDrive = newBytes === undefined && isDrivePlace(context, named);
  if (!isDrive) requireSameId(named, confirm);
  if (!isDrive) requirePlace(context, named, newBytes);
  const wanted = await requireRelease(context, optionText(options, 'for'));
  const from = optionText(options, 'from');
  const drive = isDrive
    ? await requireGuardedDrive(context, named, wanted.product.card.capacity.maxBytes, from)
    : undefined;
  const path = drive?.chosen.drive.device ?? named;
  const id = drive?.chosen.id ?? named;
  const confirmed = drive === undefined ? confirm !== undefined : requireConfirmedId(confirm, drive.chosen);
  if (from !== undefined && context.files.absolute(from) === context.files.absolute(path)) {
    throw new Failure({
      code: 'source-is-card',
      exit: 2,
      summary: 'The card itself is named as the download.',
      where: path,
      next: 'Give the download as --from, or leave --from out.',
    });
  }
  const dryRun = options.dryRun === true;
  const cardName = await nameOf(context, optionText(options, 'card'), drive, dryRun);
  return { path, id, drive, wanted, from, fresh, newBytes, dryRun, confirmed, by, cardName, despiteHalt };
}
