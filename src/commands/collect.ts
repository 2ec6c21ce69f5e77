// `collect FILE|CARD…`: takes in what pocket pages tell (files, QR codes, spoken codes) and the result files that units
// left on their cards. Each is taken or refused by itself, with the reason; nothing is taken twice. Cards are only read.

import { routesOn } from '../fleet/routes.ts';
import { readSheetNumber } from '../sheet/sheet-number.ts';
import { type ExitCode, exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { requireClaimedTime } from './claimed-time.ts';
import { type Offer, type Refusal, refusedOffer } from './collect/offer.ts';
import type { PageOutcome } from './collect/read-page.ts';
import { pageLine } from './collect/read-page-text.ts';
import { leavingResults, readSource } from './collect/read-source.ts';
import { sheetShelf } from './collect/sheet-shelf.ts';
import { type Desk, isTaken, type Taken } from './collect/take.ts';
import { takePage } from './collect/take-page.ts';
import { takeResult } from './collect/take-result.ts';
import type { Answer, OptionValues, Run } from './command.ts';
import type { Context } from './context.ts';
import { requireText, textOption } from './option-text.ts';
import { askMay } from './outcome-questions.ts';
import { requireRegisteredUnit } from './registered-unit.ts';

const longestCode = 6000;

export const run: Run = async (context, positionals, options) => {
  const { terminal } = context;
  const paths = positionals.filter((path) => path !== undefined);
  const codes = codesOf(options.code);
  if (paths.length === 0 && codes.length === 0) {
    paths.push(await terminal.text('Which file or card?', 'FILE or --code CODE'));
  }
  requirePaths(context, paths);
  const desk = await openDesk(context, options);
  const products = leavingResults((await context.catalogue()).products.values());
  const taken: Taken[] = [];
  const refused: Refusal[] = [];
  let stopped = false;
  try {
    for (const offer of offersOf(context, paths, codes, products)) {
      const result = await take(desk, offer);
      if (!isTaken(result)) {
        refused.push(result);
        continue;
      }
      taken.push(result);
      for (const line of result.notices) terminal.notice(line);
    }
  } catch (error) {
    // Left at a question: what was taken in stays, and is told.
    if (!(error instanceof Failure) || error.facts.exit !== exitCode.stopped) throw error;
    stopped = true;
  }
  return answer(taken, refused, stopped);
};

function codesOf(value: OptionValues[string]): string[] {
  return (Array.isArray(value) ? value : value === undefined ? [] : [value]).map(String);
}

/** Said before anything is taken: a mistyped path is no refusal. */
function requirePaths({ files }: Context, paths: readonly string[]): void {
  const absent = paths.find((path) => files.facts(path) === undefined);
  if (absent === undefined) return;
  throw new Failure({
    code: 'file-absent',
    exit: exitCode.wrongUse,
    summary: 'There is no such file, folder or card.',
    where: files.absolute(absent),
    next: 'Check the path. Nothing was taken in.',
  });
}

async function openDesk(context: Context, options: OptionValues): Promise<Desk> {
  const { clock, terminal } = context;
  const nowMs = clock.now();
  const atMs = typeof options.at === 'string' ? requireClaimedTime(context, options.at, nowMs) : undefined;
  const by = textOption(options, 'by', '--by', 80);
  const sheet = typeof options.sheet === 'string' ? requireNumber(options.sheet) : undefined;
  const unit =
    typeof options.unit === 'string' ? await requireRegisteredUnit(context, options.unit) : undefined;
  const typedBy = requireText(await context.requireTypedBy(), '--as', 80);
  const routes = routesOn(await context.catalogue(), formatLocalDay(nowMs, clock));
  return {
    context,
    shelf: sheetShelf(context),
    wanted: { sheet, serial: unit?.serial },
    routes,
    typedBy,
    atMs,
    by,
    async askSigns(_offer, outcome) {
      if (!terminal.interactive) return { by, atMs: atMs ?? clock.now() };
      terminal.notice(told(outcome));
      const signed = by ?? (await askMay(terminal, 'Who was on site?', '--by NAME', 80, typedBy));
      return { by: signed, atMs: atMs ?? (await askTime(context)) };
    },
  };
}

/** What a spoken code says, for whoever typed it in to compare. */
function told({ serial, outcome, versionRead, lights, left, reason, cause }: PageOutcome): string {
  const parts = [
    outcome,
    versionRead && `version ${versionRead}`,
    lights && `lights ${lights}`,
    left,
    reason,
    cause,
  ];
  return `${printable(serial, 80)}: ${parts
    .filter(Boolean)
    .map((part) => printable(String(part), 80))
    .join(', ')}.`;
}

async function askTime(context: Context): Promise<number> {
  const { terminal, clock } = context;
  for (;;) {
    const said = await terminal.text('When was it?', '--at TIME', 'now');
    if (said.trim() === 'now') return clock.now();
    try {
      return requireClaimedTime(context, said, clock.now());
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      terminal.notice(`${error.facts.summary} Such as ${error.facts.expected}.`);
    }
  }
}

function requireNumber(typed: string): string {
  const number = readSheetNumber(typed);
  if (number !== undefined) return number;
  throw new Failure({
    code: 'sheet-number-mistyped',
    exit: exitCode.wrongUse,
    summary: 'This is no number of a sheet: a character is wrong, missing or too many.',
    seen: printable(typed, 40),
    expected: 'eight characters, such as K7MD-29XH',
    where: '--sheet',
    next: 'Read it again from the foot of the page.',
  });
}

function* offersOf(
  context: Context,
  paths: readonly string[],
  codes: readonly string[],
  products: Parameters<typeof readSource>[2],
): Generator<Offer> {
  for (const path of paths) yield* readSource(context, path, products);
  for (const code of codes) {
    const source = `--code ${printable(code.trim(), 60)}`;
    yield code.length > longestCode
      ? refusedOffer(
          source,
          'malformed',
          'This is longer than any code.',
          'Have it read out again, group by group.',
        )
      : pageLine(code, source);
  }
}

async function take(desk: Desk, offer: Offer): Promise<Taken | Refusal> {
  switch (offer.kind) {
    case 'refused': {
      const { kind: _, ...why } = offer;
      return why;
    }
    case 'page':
      return await takePage(desk, offer);
    case 'result':
      return await takeResult(desk, offer);
  }
}

function exitOf(taken: number, refused: number): ExitCode {
  if (refused === 0) return exitCode.done;
  return taken === 0 ? exitCode.no : exitCode.inPart;
}

function answer(taken: readonly Taken[], refused: readonly Refusal[], stopped: boolean): Answer {
  const count = `${stopped ? 'Stopped: ' : ''}${taken.length} taken in, ${refused.length} refused.`;
  return {
    exit: stopped ? exitCode.stopped : exitOf(taken.length, refused.length),
    json: {
      taken: taken.map(({ source, body, entry, status, by, notices }) => ({
        source,
        form: body.collected?.form,
        sheet: body.sheet ?? null,
        serial: body.serial,
        outcome: body.outcome,
        said: body.said ?? body.outcome,
        evidence: body.evidence,
        release: body.release ?? null,
        left: body.left ?? null,
        by,
        entry,
        status,
        notices,
      })),
      refused,
      stopped,
    },
    text: [
      ...taken.map(
        ({ source, body, entry, statusText }) =>
          `taken: ${printable(body.serial, 80)} ${body.outcome}, entry ${entry.id}; status: ${statusText}\n  from ${printable(source, 300)}`,
      ),
      ...refused.map(
        ({ source, code, summary, next }) =>
          `refused: ${printable(summary, 400)} [${code}]\n  from ${printable(source, 300)}\n  next: ${printable(next, 400)}`,
      ),
      count,
    ].join('\n'),
  };
}
