// `prepare` of a card by its files, where it is mounted: for people who may not open the card itself, and for exFAT, which
// only the system writes. The same plan, consent, copies and answer as by sectors; what proves it is another thing.

import { setTimeout as pause } from 'node:timers/promises';
import { checkCard } from '../card/check/check-card.ts';
import { checkMounted } from '../card/check/check-mounted.ts';
import { stopKind } from '../card/check/finding-codes.ts';
import { examineCard } from '../card/look/examine-card.ts';
import { digestMounted } from '../card/mounted/digest-mounted-file.ts';
import { lookAtMounted, type MountedCard } from '../card/mounted/mounted-card.ts';
import { fromCardItself, planMounted } from '../card/mounted/plan-mounted.ts';
import { baseName } from '../manifest/download-name.ts';
import type { MountedVolume } from '../ports/volumes.ts';
import type { ImageSource } from '../transfer/image-source.ts';
import { type KeptFiles, withKept } from '../transfer/keep-files.ts';
import { type Proved, proveMounted } from '../transfer/mounted/prove-mounted.ts';
import { writeMounted } from '../transfer/mounted/write-mounted.ts';
import { holderOf, ruleImpossible } from '../transfer/preparation-plan.ts';
import type { PrepareOutcome } from '../transfer/prepare-card.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import type { GuardedDrive } from './card-place.ts';
import { isReadFromCard } from './check-by-files.ts';
import type { Answer } from './command.ts';
import type { Context } from './context.ts';
import { closedToUser, isClosedToUser, type MountedPlace, mountedPlaceOf } from './mounted-place.ts';
import type { PrepareOrder } from './prepare-order.ts';
import { answer, nothingDone, phaseProgress, recordIt, requireConsent, signer } from './prepare-outcome.ts';
import { findSource, openNamedSource } from './prepare-source.ts';

export interface FilesPlace extends MountedPlace {
  readonly guarded: GuardedDrive;
  /** This user may open the card itself, too. */
  readonly byDevice: boolean;
}

/** undefined: by sectors. Failure exit 2 where this user may do neither. */
export async function filesPlaceOf(
  context: Context,
  order: PrepareOrder,
  guarded: GuardedDrive,
): Promise<FilesPlace | undefined> {
  const { drive, mountPoint } = guarded.chosen;
  const place = mountedPlaceOf(drive, mountPoint);
  try {
    context.cards.isWriteProtected(order.path);
  } catch (error) {
    if (!isClosedToUser(error)) throw error;
    if (order.fresh) throw freshNeedsRights(error);
    if (place === undefined) throw closedToUser(error, drive);
    return { ...place, guarded, byDevice: false };
  }
  if (order.fresh || place === undefined) return undefined;
  return (await isExfat(context, place)) ? { ...place, guarded, byDevice: true } : undefined;
}

async function isExfat(context: Context, { part, mountPoint }: MountedPlace): Promise<boolean> {
  if (part.fileSystem !== null) return part.fileSystem === 'exfat';
  const volume = (await context.volumes()).open(mountPoint);
  try {
    return volume.facts().fileSystem === 'exfat';
  } finally {
    volume.close();
  }
}

function freshNeedsRights(error: Failure): Failure {
  return new Failure({
    ...error.facts,
    summary: `${error.facts.summary} Laying it out anew takes that.`,
    next: 'Run it with administrator rights on Linux (sudo); or format the card by hand, and leave --fresh out.',
  });
}

export async function prepareByFiles(
  context: Context,
  order: PrepareOrder,
  place: FilesPlace,
): Promise<Answer> {
  const { mountPoint, drive, part, byDevice } = place;
  const { release, product } = order.wanted;
  const rule = product.card;
  const volume = (await context.volumes()).open(mountPoint);
  try {
    const card = lookAtMounted(volume, drive, part);
    if (card.readOnly) throw mountedReadOnly(mountPoint);
    const { releases: known } = await context.catalogue();
    const progress = context.terminal.progress('reading the card', 'bytes');
    const checked = await checkMounted(card, {
      wanted: { release, rule },
      known,
      readFromCard: isReadFromCard(card, drive.readOnly),
      digest: digestMounted(volume, progress.at),
      examined: byDevice,
    });
    const beneath = byDevice ? await lookBeneath(context, order, volume) : { damage: [] };
    progress.end();
    if (checked.verdict === 'unfit' || beneath.damage.length > 0) {
      return answer(context, order, { ...nothingDone, findings: [...checked.findings, ...beneath.damage] });
    }
    const holder = holderOf(checked);
    const inPieces = holder !== undefined && beneath.inPieces === holder.path;
    const asNamed = planMounted(card, { release, rule, holder, inPieces });
    if (asNamed === undefined) throw ruleImpossible(release, 'its name is no plain 8.3 name');
    const named = await openNamedSource(context, order.from, release);
    const source = asNamed.writesImage
      ? (named ?? (await findSource(context, release, holder !== undefined)))
      : undefined;
    const plan = source === 'card' && holder !== undefined ? fromCardItself(asNamed, holder) : asNamed;
    const { steps } = plan;
    if (order.dryRun) {
      const verdict = steps.length === 0 && checked.verdict === 'ready' ? 'ready' : 'not-ready';
      return answer(context, order, { ...nothingDone, verdict, steps, findings: checked.findings });
    }
    if (steps.length > 0) await requireConsent(context, order, plan);
    const signed = await signer(context, order);
    // Opened before the card is touched: a record that cannot be used is told while nothing has happened.
    await context.record('write');
    const kept: KeptFiles = { folder: null, files: [] };
    const written =
      steps.length === 0 ? null : await write(context, order, place, { card, plan, source, volume, kept });
    const proved = await prove(context, order, place, volume, written, kept);
    const outcome: PrepareOutcome = {
      ...proved,
      findings: written === null ? proved.findings : proved.findings.map(inPiecesAgain),
      kept,
      removed: plan.remove.map((node) => node.path),
      written,
    };
    const entry = outcome.verdict === 'ready' ? await recordIt(context, order, outcome, signed) : null;
    return answer(context, order, { ...outcome, steps, entry, mayPull: proved.mayPull });
  } finally {
    volume.close();
  }
}

function mountedReadOnly(where: string): Failure {
  return new Failure({
    code: 'write-protected',
    exit: 6,
    summary: 'The card is mounted for reading only.',
    where,
    next: 'Slide the lock on its edge back, put it in again, then run the same command again.',
  });
}

/** What only a look at the card itself tells. */
interface Beneath {
  /** `prepare` writes on nothing damaged. */
  readonly damage: readonly Finding[];
  /** The path of the firmware file, where it lies in several pieces and the card rule wants one. */
  readonly inPieces?: string;
}

async function lookBeneath(context: Context, order: PrepareOrder, volume: MountedVolume): Promise<Beneath> {
  volume.flush([]);
  const reader = context.cards.openToRead(order.path);
  try {
    const { release, product } = order.wanted;
    const wanted = { release, rule: product.card };
    const checked = await checkCard(examineCard(reader), reader, {
      wanted,
      known: [],
      writeProtected: false,
    });
    const damage = checked.findings.filter((one) => stopKind(one) === 'unfit' && one.code !== 'no-room');
    const holder = holderOf(checked);
    const inPieces = product.card.contiguous && holder !== undefined && holder.runs.length > 1;
    return inPieces ? { damage, inPieces: holder.path } : { damage };
  } finally {
    reader.close();
  }
}

/** The system chose the places of the new file, and found no run for it. */
function inPiecesAgain(one: Finding): Finding {
  if (one.code !== 'image-fragmented') return one;
  return {
    ...one,
    summary: 'The system wrote the firmware file in several pieces again; this unit reads it from one.',
    next: 'Run the same command once more, now that there is more room in one piece; if that does not help, format the card anew by hand, or take another card.',
  };
}

interface Writing {
  readonly card: MountedCard;
  readonly plan: ReturnType<typeof fromCardItself>;
  readonly source: ImageSource | 'card' | undefined;
  readonly volume: MountedVolume;
  readonly kept: KeptFiles;
}

async function write(
  context: Context,
  order: PrepareOrder,
  { mountPoint, guarded }: FilesPlace,
  { card, plan, source, volume, kept }: Writing,
): Promise<PrepareOutcome['written']> {
  const { files, workspace, clock, stop, terminal } = context;
  const progress = phaseProgress(context);
  const steps = writeMounted(
    { files, workspace, clock, stop, archives: () => context.archives() },
    {
      path: mountPoint,
      name: baseName(mountPoint.replace(/[\\/]+$/, '')),
      plan,
      release: order.wanted.release,
      onlyFile: order.wanted.product.card.onlyFile,
      seen: card.tree.seen,
      mount: card.facts.mount,
      source,
      requireSameDrive: () => guarded.requireSame(),
    },
    volume,
    kept,
  );
  try {
    for (;;) {
      const step = await steps.next();
      if (step.done) return step.value;
      progress.at(step.value);
      // Lets a Ctrl-C through, which is looked for at each step.
      await new Promise((resolve) => setImmediate(resolve));
    }
  } finally {
    progress.end();
    if (stop.aborted) terminal.notice('');
  }
}

async function prove(
  context: Context,
  order: PrepareOrder,
  place: FilesPlace,
  volume: MountedVolume,
  written: PrepareOutcome['written'],
  kept: Readonly<KeptFiles>,
): Promise<Proved> {
  const { cards, stop, terminal } = context;
  const { release, product } = order.wanted;
  const { releases: known } = await context.catalogue();
  const progress = terminal.progress('reading back', 'bytes');
  try {
    return await proveMounted(
      {
        cards,
        stop,
        drives: await context.drives(),
        volumes: await context.volumes(),
        pause: async (ms) => void (await pause(ms)),
        say: (line) => terminal.notice(line),
      },
      {
        ...place,
        path: place.mountPoint,
        chosen: place.guarded.chosen,
        mayAsk: terminal.interactive,
        release,
        rule: product.card,
        known,
        writtenSha256: written?.sha256,
        onRead: progress.at,
        requireSameDrive: () => place.guarded.requireSame(),
      },
      volume,
    );
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    const summary = `${error.facts.summary} The card is not proven, so it is not ready.`;
    throw new Failure(withKept({ ...error.facts, summary }, kept), error);
  } finally {
    progress.end();
  }
}
