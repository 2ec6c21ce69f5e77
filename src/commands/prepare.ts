// `prepare CARD --for RELEASE`: makes a card ready for a release and proves it by reading it back. Everything is
// looked at and planned before a question is asked; nothing is written before it is answered; and `ready` is said
// only after the card was read again.

import { checkCard } from '../card/check/check-card.ts';
import { ownIdOf } from '../card/drives/drive-id.ts';
import { imagePath } from '../card/look/image-place.ts';
import type { PlanStep } from '../card/plan-step.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import { baseName } from '../manifest/download-name.ts';
import type { EntryAddress } from '../ports/record-store.ts';
import { type CardPrepared, draftEntry } from '../record/entry.ts';
import type { ImageSource } from '../transfer/image-source.ts';
import { type KeptFiles, withKept } from '../transfer/keep-files.ts';
import { lookAtCard } from '../transfer/look-at-card.ts';
import {
  type CardPlan,
  holderOf,
  planFresh,
  planInOwnFormat,
  planNewCard,
  type Refused,
} from '../transfer/preparation-plan.ts';
import {
  type PreparedCard,
  type PrepareEvent,
  type PrepareOutcome,
  prepareCard,
} from '../transfer/prepare-card.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { formatLocalTime } from '../words/local-time.ts';
import type { GuardedDrive } from './card-place.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { letGo, unmountFirst } from './mounted-drive.ts';
import { requireText } from './option-text.ts';
import { type PrepareOrder, requireOrder } from './prepare-order.ts';
import { findSource, openNamedSource } from './prepare-source.ts';
import { planLines, questionText, renderPrepared } from './prepare-text.ts';
import { requireNotHalted } from './require-not-halted.ts';

/** The plan, with what it was made from. */
interface Planned {
  readonly plan: CardPlan | Refused;
  readonly card: PreparedCard;
  readonly source: ImageSource | 'card' | undefined;
  /** What the look already proves of a card on which nothing has to be done. */
  readonly asFound: PrepareOutcome | undefined;
}

export async function run(
  context: Context,
  [given]: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const order = await requireOrder(context, given, options);
  const { release } = order.wanted;
  if (release.withdrawn === undefined) await requireNotHalted(context, release, order.despiteHalt);
  const planned = await planPreparation(context, order);
  const { plan } = planned;
  if (plan.kind === 'refused') return answer(context, order, { ...nothingDone, findings: plan.findings });
  const { steps } = plan;
  if (order.dryRun) {
    return answer(context, order, { ...nothingDone, ...planned.asFound, steps });
  }
  if (planned.asFound !== undefined) {
    const entry = await recordIt(context, order, planned.asFound, await signer(context, order));
    return answer(context, order, { ...planned.asFound, steps, entry, mayPull: order.drive !== undefined });
  }
  await requireConsent(context, order, plan);
  const signed = await signer(context, order);
  // Opened before the card is touched: a record that cannot be used is told while nothing has happened.
  await context.record('write');
  const outcome = await carryOut(context, order, plan, planned);
  const mayPull = await letGo(context, order);
  const entry = outcome.verdict === 'ready' ? await recordIt(context, order, outcome, signed) : null;
  return answer(context, order, { ...outcome, steps, entry, mayPull });
}

/** Looks, checks and plans; changes nothing. */
async function planPreparation(context: Context, order: PrepareOrder): Promise<Planned> {
  const { release, product } = order.wanted;
  const cardName = order.cardName?.name ?? '';
  const request = { release, rule: product.card, fresh: order.fresh, sourceIsCard: false, cardName };
  const { newBytes, path } = order;
  if (newBytes !== undefined) {
    const plan = planNewCard(request, newBytes);
    const card = { kind: 'new', sizeBytes: newBytes } as const;
    if (plan.kind === 'refused') return { plan, card, source: undefined, asFound: undefined };
    const named = await openNamedSource(context, order.from, release);
    return { plan, card, source: named ?? (await findSource(context, release, false)), asFound: undefined };
  }
  await unmountFirst(context, order);
  // Opening it to write changes nothing, and tells now what would otherwise be told after the question.
  context.cards.openToWrite(path).close();
  const identity = context.cards.identify(path);
  const reader = context.cards.openToRead(path);
  try {
    const { card, seen } = await lookAtCard(reader);
    const progress = context.terminal.progress('reading the card', 'bytes');
    const { releases: known } = await context.catalogue();
    const wanted = { release, rule: product.card };
    const checked = await checkCard(card, reader, {
      wanted,
      known,
      writeProtected: false,
      progress: progress.at,
    });
    progress.end();
    const found = { card, checked, reader };
    const planFor = order.fresh ? planFresh : planInOwnFormat;
    let plan = planFor(found, request);
    const there: PreparedCard = { kind: 'there', identity, seen, volume: card.volume };
    if (plan.kind === 'refused') return { plan, card: there, source: undefined, asFound: undefined };
    const named = await openNamedSource(context, order.from, release);
    const holds = holderOf(checked) !== undefined;
    const source = plan.writesImage ? (named ?? (await findSource(context, release, holds))) : undefined;
    if (source === 'card') plan = planFor(found, { ...request, sourceIsCard: true });
    if (plan.kind === 'refused' || plan.steps.length > 0)
      return { plan, card: there, source, asFound: undefined };
    if (checked.verdict !== 'ready' || checked.imageSha256 === null) {
      throw new Error(`nothing to do on a card that is ${checked.verdict}`);
    }
    const asFound: PrepareOutcome = {
      verdict: checked.verdict,
      kept: nothingKept,
      removed: [],
      written: null,
      readBack: { method: reader.proof ?? 'image', sha256: checked.imageSha256 },
      findings: checked.findings,
      sizeBytes: card.sizeBytes,
      volumeId: card.volume?.volumeId ?? null,
    };
    return { plan, card: there, source, asFound };
  } finally {
    reader.close();
  }
}

async function requireConsent(context: Context, order: PrepareOrder, plan: CardPlan): Promise<void> {
  // Nothing can be lost by a file that does not exist yet.
  if (order.confirmed || order.newBytes !== undefined) return;
  const { terminal } = context;
  if (terminal.interactive) for (const line of planLines(plan.steps)) terminal.notice(line);
  if (await terminal.confirm(questionText(order.path, plan.steps, plan.fresh), `--confirm ${order.id}`))
    return;
  throw new Failure({
    code: 'not-confirmed',
    exit: 130,
    summary: 'Not confirmed. The card was not changed.',
    where: order.path,
    next: 'Run the same command again when you are sure which card it is.',
  });
}

interface Signed {
  readonly typedBy: string;
  readonly doneBy: string | undefined;
}

async function signer(context: Context, order: PrepareOrder): Promise<Signed> {
  return { typedBy: requireText(await context.requireTypedBy(), '--as', 80), doneBy: order.by };
}

async function carryOut(
  context: Context,
  order: PrepareOrder,
  plan: CardPlan,
  { card, source }: Planned,
): Promise<PrepareOutcome> {
  const { files, workspace, clock, cards, stop, terminal } = context;
  const { release, product } = order.wanted;
  const { releases: known } = await context.catalogue();
  const progress = phaseProgress(context);
  const steps = prepareCard(
    { files, workspace, clock, cards, stop, archives: () => context.archives() },
    {
      path: order.path,
      name: baseName(order.path),
      card,
      plan,
      release,
      rule: product.card,
      known,
      source,
      requireSameDrive: order.drive && (() => (order.drive as GuardedDrive).requireSame()),
      onRead: (doneBytes, totalBytes) => progress.at({ phase: 'reading back', doneBytes, totalBytes }),
    },
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

function phaseProgress({ terminal }: Context) {
  let phase: PrepareEvent['phase'] | undefined;
  let line = terminal.progress('', 'bytes');
  return {
    at(event: PrepareEvent) {
      if (event.phase !== phase) {
        line.end();
        phase = event.phase;
        line = terminal.progress(event.phase, 'bytes');
      }
      line.at(event.doneBytes, event.totalBytes);
    },
    end: () => line.end(),
  };
}

async function recordIt(
  context: Context,
  order: PrepareOrder,
  outcome: PrepareOutcome,
  { typedBy, doneBy }: Signed,
): Promise<EntryAddress> {
  const { clock } = context;
  const { release } = order.wanted;
  if (outcome.readBack === null) throw new Error('a card is never ready without having been read back');
  const cardId = order.drive && ownIdOf(order.drive.chosen.drive);
  const body: CardPrepared = {
    card: order.cardName?.name ?? context.files.absolute(order.path),
    release: releaseKey(release),
    verdict: outcome.verdict,
    file: { path: imagePath(release.image), bytes: release.image.bytes, sha256: outcome.readBack.sha256 },
    readBack: outcome.readBack,
    sizeBytes: outcome.sizeBytes,
    ...(outcome.volumeId === null ? {} : { volumeId: outcome.volumeId }),
    ...(cardId === undefined ? {} : { cardId }),
    fresh: order.fresh,
    kept: outcome.kept.files.length,
    removed: outcome.removed.length,
    ...(order.despiteHalt === undefined ? {} : { despiteHalt: order.despiteHalt }),
  };
  const claimedAt = formatLocalTime(clock.now(), clock);
  try {
    const store = await context.record('write');
    const [entry] = await store.append([draftEntry('card-prepared', { claimedAt, typedBy, doneBy }, body)]);
    if (entry === undefined) throw new Error('the record took an entry without saying where');
    return entry;
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    const summary = `${error.facts.summary} The card is ready, but that is not on record.`;
    throw new Failure(withKept({ ...error.facts, summary }, outcome.kept), error);
  }
}

export interface Prepared extends Omit<PrepareOutcome, 'sizeBytes' | 'volumeId'> {
  readonly steps: readonly PlanStep[];
  readonly entry: EntryAddress | null;
  /** Of a card in a reader: nothing of it is mounted, and all is written out. */
  readonly mayPull?: boolean;
}

const nothingKept: Readonly<KeptFiles> = { folder: null, files: [] };

const nothingDone: Prepared = {
  verdict: 'not-ready',
  steps: [],
  kept: nothingKept,
  removed: [],
  written: null,
  readBack: null,
  findings: [] as readonly Finding[],
  entry: null,
};

function answer(context: Context, order: PrepareOrder, prepared: Prepared): Answer {
  const { verdict, steps, kept, removed, written, readBack, findings, entry } = prepared;
  const isPlanOnly = order.dryRun && verdict !== 'ready' && steps.length > 0;
  const card = context.files.absolute(order.path);
  return {
    exit: verdict === 'ready' || isPlanOnly ? exitCode.done : exitCode.no,
    json: {
      verdict,
      card,
      name: order.cardName?.name ?? null,
      release: releaseKey(order.wanted.release),
      dryRun: order.dryRun,
      plan: steps,
      kept: kept.files,
      removed,
      written,
      readBack,
      findings,
      entry,
      ...(order.drive === undefined ? {} : { mayPull: prepared.mayPull ?? false }),
    },
    text: renderPrepared(context.terminal, order, card, prepared),
  };
}
