// `visit SERIAL`: the walk on site, question by question, at a terminal or from a file of answers. Each step is
// on record before the next question is asked. A stop says how everything stands; a visit that broke off is taken
// up again by the same command. The walk itself, and what is said in it, are elsewhere.

import { standingOf } from '../fleet/status.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import { sharedSteps } from '../manifest/shared-steps.ts';
import { siteOpened } from '../procedure/site-turn.ts';
import { beginWalk } from '../procedure/walk/begin-walk.ts';
import { reduceWalk } from '../procedure/walk/reduce-walk.ts';
import { resumeWalk } from '../procedure/walk/resume-walk.ts';
import type { DoneStep, Walk, WalkPlan } from '../procedure/walk/walk.ts';
import { type Asked, questionOf } from '../procedure/walk/walk-question.ts';
import { languages } from '../sheet/language.ts';
import { openingText } from '../sheet/walk/opening-text.ts';
import { stopText } from '../sheet/walk/stop-text.ts';
import { type WalkTexts, walkTexts } from '../sheet/walk/walk-texts.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { fitWidth } from '../ui/fit-width.ts';
import type { WalkFront } from '../ui/walk-front.ts';
import { mostColumns, wrapLines, wrapParagraphs } from '../ui/wrap-lines.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues, Run } from './command.ts';
import type { Context } from './context.ts';
import { requireText, textOption } from './option-text.ts';
import { statusText } from './unit-view.ts';
import { cardDesk } from './visit-card.ts';
import { type VisitLog, visitLog } from './visit-log.ts';
import { mustNotBegin, requireVisitOrder, type VisitOrder } from './visit-order.ts';
import { type SiteToday, siteToday } from './visit-turn.ts';
import { wantedLanguage } from './wanted-language.ts';

const largestAnswersBytes = 4 * 2 ** 20;

export const run: Run = async (context, positionals, options) => {
  requireSomebodyToAsk(context, options);
  const words = languages[wantedLanguage(context, options)];
  const answers = readAnswers(context, options);
  const order = await requireVisitOrder(context, positionals[0], options, words);
  if (mustNotBegin(order)) return refusal(context, order);
  const doneBy = textOption(options, 'by', '--by', 80);
  const typedBy = requireText(await context.requireTypedBy(), '--as', 80);
  const { plan, product, release, unit } = order;
  const { clock } = context;
  const texts = walkTexts(words, product, release, unit.serial, (atMs) =>
    formatLocalTime(atMs, clock).slice(11, 19),
  );
  const cards = cardDesk(context, product, release, words);
  const front: WalkFront =
    answers === undefined
      ? (await import('../ui/walk-terminal.ts')).walkTerminal({
          terminal: context.terminal,
          texts,
          cards,
          clock,
        })
      : (await import('../ui/walk-answers.ts')).walkAnswers({ ...answers, texts, cards, clock });
  const store = await context.record('write');
  const { procedure, turn, routes, remark, open } = order;
  const facts = { context, store, plan, unit, routes, procedure, turn, typedBy, doneBy, remark, open };
  const visit: Visit = {
    context,
    order,
    texts,
    front,
    log: visitLog(facts),
    showsScreens: answers === undefined,
  };
  if (visit.showsScreens) introduce(visit);
  return await walkOn(visit, firstWalk(order));
};

interface Visit {
  readonly context: Context;
  readonly order: VisitOrder;
  readonly texts: WalkTexts;
  readonly front: WalkFront;
  readonly log: VisitLog;
  /** The person sees each question, and so each stop, on the screen. */
  readonly showsScreens: boolean;
}

function requireSomebodyToAsk({ terminal }: Context, options: OptionValues): void {
  if (options.answers !== undefined || terminal.interactive) return;
  throw new Failure({
    code: 'answer-missing',
    exit: 2,
    summary: 'A visit is walked at a terminal, and there is none.',
    expected: '--answers FILE',
    next: 'Run it at a terminal without --no-input, or give the answers as JSON lines with --answers FILE.',
  });
}

function readAnswers({ files }: Context, options: OptionValues) {
  const path = options.answers;
  if (typeof path !== 'string') return undefined;
  return { content: files.readText(path, largestAnswersBytes), path: files.absolute(path) };
}

/** Times come with the answers: a file of them may tell of a visit that is long over. */
function firstWalk({ plan, open, procedure }: VisitOrder): Walk {
  if (open === undefined) return beginWalk(plan, 0);
  return resumeWalk(plan, open.done, open.procedure === procedure, 0);
}

function introduce({ context, order, texts }: Visit): void {
  const { terminal, clock } = context;
  const { open, findings } = order;
  const begun =
    open === undefined ? null : formatLocalTime(open.begunMs, clock).slice(0, 16).replace('T', ' ');
  terminal.notice(fitWidth(openingText(texts, begun).join('\n'), Math.min(terminal.columns, mostColumns)));
  if (findings.length > 0) terminal.notice(renderFindings(findings, terminal));
}

async function walkOn(visit: Visit, first: Walk): Promise<Answer> {
  const { context, order, front, log } = visit;
  const { plan } = order;
  let walk = first;
  // From here on Ctrl-C ends the walk in good order, whatever it is just doing.
  const { stop } = context;
  while (walk.phase.kind !== 'ended') {
    if (walk.phase.kind === 'broken-off') throw new RangeError('a walk that broke off asks nothing more');
    const event = stop.aborted ? undefined : await answerOrLeave(front, plan, walk);
    if (event === undefined) return brokenOff(visit, walk, true);
    const after = reduceWalk(plan, walk, event);
    if (after.phase.kind === 'ended') return await ended(visit, after);
    await log.keep(after);
    if (after.phase.kind === 'broken-off') return brokenOff(visit, walk, !visit.showsScreens);
    walk = after;
  }
  throw new RangeError('a walk does not begin with its end');
}

/** undefined: the person left with Ctrl-C, or the terminal is gone. */
async function answerOrLeave(front: WalkFront, plan: WalkPlan, walk: Walk) {
  try {
    return await front.answer(questionOf(plan, walk), walk.atMs);
  } catch (error) {
    if (error instanceof Failure && error.facts.exit === exitCode.stopped) return undefined;
    throw error;
  }
}

/** `walk`: before it was left. Says how everything stands, unless the person has just read it. */
function brokenOff(visit: Visit, walk: Walk, says: boolean): Answer {
  const { context, order, texts, log } = visit;
  const { plan, unit } = order;
  const stopped =
    walk.phase.kind === 'stopped' ? walk : reduceWalk(plan, walk, { kind: 'stop', atMs: walk.atMs });
  const asked = questionOf(plan, stopped).asked as Extract<Asked, { kind: 'stopped' }>;
  const { stand, why } = asked;
  const command = `slotproof visit ${printable(unit.serial)}`;
  const lines = [
    ...(says ? stopText(texts, asked) : []),
    ...(stand.untouched ? [] : [texts.words.walk.stop.resume, `  ${command}`]),
  ];
  return {
    exit: exitCode.stopped,
    json: {
      ...visitJson(visit, stopped),
      outcome: null,
      evidence: null,
      entry: null,
      stopped: {
        why,
        step: stand.step,
        positions: stand.positions,
        untouched: stand.untouched,
        mayBeWriting: stand.mayBeWriting,
        order: stand.order,
      },
      visit: log.id ?? null,
    },
    text: wrapParagraphs(lines, context.terminal.columns),
  };
}

async function ended(visit: Visit, walk: Walk): Promise<Answer> {
  const { context, order, front, log, texts } = visit;
  const { entry, body, notices } = await log.end(walk);
  // Logged all the same: an entry is never lost because a file was too long.
  front.finish();
  const after = await (await context.record('read'))?.unit(order.unit.serial);
  const standing = standingOf(after ?? order.unit, order.routes);
  const open = siteStillOpen(await siteToday(context, order.product, order.unit), order);
  for (const line of [...notices, ...(open === null ? [] : [open.summary])]) context.terminal.notice(line);
  const { over } = texts.words.walk;
  const { notRestored, why } = walk.notes;
  return {
    exit: exitCode.done,
    json: {
      ...visitJson(visit, walk),
      outcome: body.outcome,
      evidence: body.evidence,
      entry,
      visit: log.id ?? null,
      status: standing.status,
      left: body.left ?? null,
      next: standing.path.map(({ version }) => version),
      notices,
      siteOpen: open?.positions ?? null,
    },
    text: wrapLines(
      [
        [over[body.outcome], why].filter((one) => one !== null).join(' '),
        ...(notRestored.length === 0 ? [] : [over.notRestored(notRestored.map((one) => printable(one)))]),
        `Logged as ${entry.id}: ${printable(order.unit.serial)} ${body.outcome} (${releaseKey(order.release)}), known by ${body.evidence}.`,
        `Status: ${statusText(standing)}.`,
      ],
      context.terminal.columns,
    ),
  };
}

/** What is done once for the site before its first unit is done, and what comes after the last one is not. */
function siteStillOpen({ openedBy }: SiteToday, { product }: VisitOrder) {
  if (openedBy === undefined || sharedSteps(product).closing.length === 0) return null;
  const positions = siteOpened(product);
  const stands = Object.entries(positions).map(([name, state]) => `${name} ${state}`);
  return {
    positions,
    summary: `The site is still as it was opened (${stands.join(', ')}). Before you leave it, with its last unit or by itself, do what the procedure marks as done once after the last one; if you cannot, ask the service lead.`,
  };
}

function visitJson({ order }: Visit, walk: Walk): Record<string, unknown> {
  const done = [...(order.open?.done ?? []), ...walk.done];
  return {
    serial: order.unit.serial,
    release: releaseKey(order.release),
    path: walkedPath(order.plan, walk, done),
  };
}

/** Ids of the steps that were done, in their order, the end last where one was reached. */
function walkedPath(plan: WalkPlan, walk: Walk, done: readonly DoneStep[]): string[] {
  const ids = done
    .filter(({ part, result }) => part === 'procedure' && result !== 'no-tries-left')
    .map(({ step }) => step);
  const here = plan.product.procedure[walk.at.step];
  return walk.begun && here?.kind === 'end' ? [...ids, here.id] : ids;
}

function refusal({ terminal }: Context, { unit, release, findings }: VisitOrder): Answer {
  return {
    exit: exitCode.no,
    json: {
      serial: unit.serial,
      release: releaseKey(release),
      outcome: null,
      evidence: null,
      path: [],
      entry: null,
      visit: null,
      findings,
    },
    text: [renderFindings(findings, terminal), '', 'The visit was not begun. Nothing was written.'].join(
      '\n',
    ),
  };
}
