// What every way of preparing a card shares: the person's consent, who signs, the phases on the screen, the entry on
// record, and the answer. Writes to no card.

import { ownIdOf } from '../card/drives/drive-id.ts';
import { imagePath } from '../card/look/image-place.ts';
import type { PlanStep } from '../card/plan-step.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { EntryAddress } from '../ports/record-store.ts';
import { type CardPrepared, draftEntry } from '../record/entry.ts';
import { type KeptFiles, withKept } from '../transfer/keep-files.ts';
import type { PrepareEvent, PrepareOutcome } from '../transfer/prepare-card.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { formatLocalTime } from '../words/local-time.ts';
import type { Answer } from './command.ts';
import type { Context } from './context.ts';
import { requireText } from './option-text.ts';
import type { PrepareOrder } from './prepare-order.ts';
import { planLines, questionText, renderPrepared } from './prepare-text.ts';

export async function requireConsent(
  context: Context,
  order: PrepareOrder,
  plan: { readonly steps: readonly PlanStep[]; readonly fresh: boolean },
): Promise<void> {
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

export interface Signed {
  readonly typedBy: string;
  readonly doneBy: string | undefined;
}

export async function signer(context: Context, order: PrepareOrder): Promise<Signed> {
  return { typedBy: requireText(await context.requireTypedBy(), '--as', 80), doneBy: order.by };
}

export function phaseProgress({ terminal }: Context) {
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

export async function recordIt(
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

export const nothingKept: Readonly<KeptFiles> = { folder: null, files: [] };

export const nothingDone: Prepared = {
  verdict: 'not-ready',
  steps: [],
  kept: nothingKept,
  removed: [],
  written: null,
  readBack: null,
  findings: [] as readonly Finding[],
  entry: null,
};

export function answer(context: Context, order: PrepareOrder, prepared: Prepared): Answer {
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
