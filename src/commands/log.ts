// `log`: one outcome at one unit, without the walk. What is missing is asked at a terminal; photos are copied before the
// entry that names them is written, so that no entry names a photo that is not there. Rows of a sheet, corrections and
// notes are files of their own.

import { leftStates, type OutcomeClaim, outcomeKinds } from '../fleet/plan-outcome.ts';
import { routesOn } from '../fleet/routes.ts';
import { standingOf } from '../fleet/status.ts';
import type { Product } from '../manifest/schema.ts';
import { draftEntry, type OutcomeLogged } from '../record/entry.ts';
import type { OutcomeKind, UnitState } from '../record/unit-state.ts';
import type { SheetFacts } from '../sheet/sheet-facts.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { withoutAbsent } from '../words/without-absent.ts';
import { requireClaimedTime } from './claimed-time.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { photosOf } from './copy-photo.ts';
import { requireText, textOption } from './option-text.ts';
import { askCause, askLeft, askLights, askOutcome, askReason, askVersionRead } from './outcome-questions.ts';
import { requireUnitInService } from './registered-unit.ts';
import { settleOutcome } from './settle-outcome.ts';
import { statusText } from './unit-view.ts';

export async function run(
  context: Context,
  positionals: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  if (options.corrects !== undefined) {
    const { logCorrection } = await import('./log-correction.ts');
    return await logCorrection(context, positionals, options);
  }
  if (options.sheet !== undefined && positionals[0] === undefined) {
    const { logSheet } = await import('./log-sheet.ts');
    return await logSheet(context, options);
  }
  if (positionals[0] === 'note' || positionals[1] === 'note') {
    const { logNote } = await import('./log-note.ts');
    return await logNote(context, positionals[0] === 'note' ? undefined : positionals[0], options);
  }
  requireWithSheet(options);
  const { clock, terminal } = context;
  const nowMs = clock.now();
  const atMs = typeof options.at === 'string' ? requireClaimedTime(context, options.at, nowMs) : nowMs;
  const by = textOption(options, 'by', '--by', 80);
  const unit = await requireUnitInService(context, positionals[0]);
  const sheet =
    typeof options.sheet === 'string' ? await requireRowOf(context, options.sheet, unit) : undefined;
  const patterns = (await context.catalogue()).products.get(unit.product)?.patterns ?? [];
  const said = await requireClaim(context, positionals[1], options, patterns);
  const claim = sheet === undefined ? said : { release: sheet.release, ...said };
  const typedBy = requireText(await context.requireTypedBy(), '--as', 80);
  const routes = routesOn(await context.catalogue(), formatLocalDay(nowMs, clock));
  const { body: planned, notices } = await settleOutcome(context, claim, unit, routes);

  const photos = photosOf(context, options.photo);
  const body: OutcomeLogged = {
    ...planned,
    ...(photos.length === 0 ? {} : { photos }),
    ...(sheet === undefined ? {} : { sheet: sheet.sheet }),
  };
  const store = await context.record('write');
  const draft = draftEntry('outcome', { claimedAt: formatLocalTime(atMs, clock), typedBy, doneBy: by }, body);
  const [entry] = await store.append([draft]);

  const after = (await store.unit(unit.serial)) ?? unit;
  const standing = standingOf(after, routes);
  for (const line of notices) terminal.notice(line);
  return {
    exit: 0,
    json: {
      entry,
      status: standing.status,
      serial: unit.serial,
      outcome: body.outcome,
      said: body.said ?? body.outcome,
      evidence: body.evidence,
      release: body.release ?? null,
      left: body.left ?? null,
      path: standing.path.map(({ version }) => version),
      notices,
    },
    text: [
      `Logged as ${entry?.id}: ${printable(unit.serial)} ${body.outcome}${body.release === undefined ? '' : ` (${body.release})`}.`,
      `Status: ${statusText(standing)}.`,
    ].join('\n'),
  };
}

/** The outcome of one unit is a row of this sheet. */
async function requireRowOf(context: Context, typed: string, unit: UnitState): Promise<SheetFacts> {
  const { requireSheetFacts } = await import('../sheet/sheet-facts.ts');
  const facts = requireSheetFacts(context.files, context.workspace.sheets, typed);
  const { units } = facts;
  if (units.length === 0 || units.some(({ serial }) => serial === unit.serial)) return facts;
  throw new Failure({
    code: 'wrong-unit',
    exit: 2,
    summary: `Sheet ${facts.sheet} has no row for this unit.`,
    seen: printable(unit.serial, 80),
    expected: units.map(({ serial }) => printable(serial, 80)).join(', '),
    where: '--sheet',
    next: 'Compare the number with the foot of the page, or leave --sheet out.',
  });
}

function requireWithSheet(options: OptionValues): void {
  const flag = ['--answers', '--again', '--void', '--why'].find((one) => options[one.slice(2)] !== undefined);
  if (flag === undefined) return;
  const isOfSheet = flag === '--answers' || flag === '--again';
  throw new Failure({
    code: 'option-misplaced',
    exit: 2,
    summary: `${flag} goes with ${isOfSheet ? '--sheet NUMBER, without a serial' : '--corrects ID'}.`,
    where: flag,
    next: `Leave ${flag} out.`,
  });
}

export async function requireOutcome(context: Context, text: string | undefined): Promise<OutcomeKind> {
  if (text === undefined) return await askOutcome(context.terminal);
  const outcome = outcomeKinds.find((kind) => kind === text.trim().toLowerCase());
  if (outcome !== undefined) return outcome;
  throw new Failure({
    code: 'outcome-unknown',
    exit: 2,
    summary: 'There is no such outcome.',
    seen: printable(text, 40),
    expected: `${outcomeKinds.join(', ')}; or note, which is no outcome`,
    next: 'Give one of these after the serial.',
  });
}

/** The options as said; what matters for this outcome and is missing is asked, where somebody can be asked. */
async function requireClaim(
  context: Context,
  outcomeText: string | undefined,
  options: OptionValues,
  patterns: Product['patterns'],
): Promise<OutcomeClaim> {
  const outcome = await requireOutcome(context, outcomeText);
  const said = saidOf(options);
  return { outcome, ...said, ...(await askedFor(context, outcome, said, patterns)) };
}

/** What the options say of an outcome, each a text that is fit to be kept. */
export function saidOf(options: OptionValues): Omit<Partial<OutcomeClaim>, 'outcome' | 'photos'> {
  const text = (name: string, flag: string, maxLength: number) => textOption(options, name, flag, maxLength);
  return withoutAbsent({
    release: text('release', '--release', 140),
    versionBefore: text('versionBefore', '--version-before', 64),
    versionRead: text('versionRead', '--version-read', 64),
    lights: text('lights', '--lights', 80),
    left: leftStates.find((state) => state === options.left),
    reason: text('reason', '--reason', 40),
    cause: text('cause', '--cause', 40),
    card: text('card', '--card', 200),
    case: text('case', '--case', 80),
    told: text('told', '--told', 80),
    note: text('note', '--note', 2000),
  });
}

async function askedFor(
  { terminal }: Context,
  outcome: OutcomeKind,
  said: Partial<OutcomeClaim>,
  patterns: Product['patterns'],
): Promise<Partial<OutcomeClaim>> {
  if (outcome === 'already-current' && said.versionRead === undefined) {
    return { versionRead: await askVersionRead(terminal) };
  }
  if (!terminal.interactive) return {};
  if (outcome === 'deferred' && said.reason === undefined) return { reason: await askReason(terminal) };
  if (outcome === 'updated' && said.versionRead === undefined && said.lights === undefined) {
    const wasRead = await terminal.confirm(
      'Was the new version read from the unit?',
      '--version-read VERSION',
    );
    if (wasRead) return { versionRead: await askVersionRead(terminal) };
    return withoutAbsent({ lights: await askLights(terminal, patterns) });
  }
  if (outcome === 'failed') {
    const cause = said.cause ?? (await askCause(terminal));
    return withoutAbsent({ left: said.left ?? (await askLeft(terminal)), cause });
  }
  return {};
}
