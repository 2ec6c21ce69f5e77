// `prepare CARD --for RELEASE`: makes a card ready for a release and proves it by reading it back. Everything is
// looked at and planned before a question is asked; nothing is written before it is answered; and `ready` is said
// only after the card was read again.

import { checkCard } from '../card/check/check-card.ts';
import { baseName } from '../manifest/download-name.ts';
import type { ImageSource } from '../transfer/image-source.ts';
import { lookAtCard } from '../transfer/look-at-card.ts';
import {
  type CardPlan,
  holderOf,
  planFresh,
  planInOwnFormat,
  planNewCard,
  type Refused,
} from '../transfer/preparation-plan.ts';
import { type PreparedCard, type PrepareOutcome, prepareCard } from '../transfer/prepare-card.ts';
import type { GuardedDrive } from './card-place.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { letGo, unmountFirst } from './mounted-drive.ts';
import { type PrepareOrder, requireOrder } from './prepare-order.ts';
import {
  answer,
  nothingDone,
  nothingKept,
  phaseProgress,
  recordIt,
  requireConsent,
  signer,
} from './prepare-outcome.ts';
import { findSource, openNamedSource } from './prepare-source.ts';
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
  if (order.drive !== undefined) {
    const { filesPlaceOf, prepareByFiles } = await import('./prepare-by-files.ts');
    const place = await filesPlaceOf(context, order, order.drive);
    if (place !== undefined) return await prepareByFiles(context, order, place);
  }
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
