// `log --sheet NUMBER`: the results of a visit from paper, row by row in the sheet's own order. Each row is on record
// before the next one is asked, so that whoever leaves in between loses nothing. Rows that were logged from this
// sheet before are told and left alone.

import { type Routes, routesOn } from '../fleet/routes.ts';
import { standingOf } from '../fleet/status.ts';
import type { EntryAddress, EntryDraft } from '../ports/record-store.ts';
import { draftEntry, type OutcomeLogged, type Photo } from '../record/entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { requireSheetFacts, type SheetFacts } from '../sheet/sheet-facts.ts';
import { counted } from '../words/counted.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { requireClaimedTime } from './claimed-time.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { photosOf } from './copy-photo.ts';
import type { AnsweredRows } from './log-sheet-answers.ts';
import { rowDesk, type ToldRow } from './log-sheet-desk.ts';
import { requireText, textOption } from './option-text.ts';
import type { SettledOutcome } from './settle-outcome.ts';
import { isSkipped, loggedBefore, type SheetRow, type SkippedRow, sheetRows } from './sheet-rows.ts';
import { statusText } from './unit-view.ts';

/** What has no meaning for several rows at once. */
const ofOneRow = [
  'release',
  'versionBefore',
  'versionRead',
  'lights',
  'left',
  'reason',
  'cause',
  'card',
  'case',
  'told',
  'note',
];

export async function logSheet(context: Context, options: OptionValues): Promise<Answer> {
  requireNoneOfOneRow(options);
  const { files, workspace, clock, terminal } = context;
  const facts = requireSheetFacts(files, workspace.sheets, String(options.sheet));
  if (typeof options.answers !== 'string' && !terminal.interactive) throw nobodyToAsk();
  const nowMs = clock.now();
  const visit: Visit = {
    context,
    facts,
    routes: routesOn(await context.catalogue(), formatLocalDay(nowMs, clock)),
    by: textOption(options, 'by', '--by', 80),
    atMs: typeof options.at === 'string' ? requireClaimedTime(context, options.at, nowMs) : undefined,
    again: options.again === true,
  };
  const rows = await sheetRows(context, facts);
  if (typeof options.answers === 'string') {
    const { answeredRows } = await import('./log-sheet-answers.ts');
    const answered = await answeredRows(context, options.answers, facts, rows, visit.routes);
    return await fromAnswers(visit, answered, options);
  }
  return await fromPaper(visit, rows, options);
}

export interface Visit {
  readonly context: Context;
  readonly facts: SheetFacts;
  readonly routes: Routes;
  readonly by: string | undefined;
  readonly atMs: number | undefined;
  readonly again: boolean;
}

interface LoggedRow extends SettledOutcome {
  readonly row: number;
  readonly entry: EntryAddress;
  readonly status: string;
  readonly statusText: string;
}

async function fromPaper(
  visit: Visit,
  rows: readonly (SheetRow | SkippedRow)[],
  options: OptionValues,
): Promise<Answer> {
  const { context, facts } = visit;
  const { terminal } = context;
  const logged: LoggedRow[] = [];
  const skipped: SkippedRow[] = [];
  const skip = (row: SkippedRow) => {
    terminal.notice(row.summary);
    skipped.push(row);
  };
  terminal.notice(`Sheet ${facts.sheet}, ${printable(facts.release)}, made on ${facts.madeAt.slice(0, 10)}.`);
  try {
    const typedBy = requireText(await context.requireTypedBy(), '--as', 80);
    const photos = photosOf(context, options.photo);
    const desk = rowDesk(visit, typedBy);
    for (const row of rows.length > 0 ? rows : [await desk.rowByHand()]) {
      const before = isSkipped(row) ? row : visit.again ? undefined : loggedBefore(row);
      if (isSkipped(row) || before !== undefined) {
        skip(before as SkippedRow);
        continue;
      }
      const told = await desk.ask(row, Math.max(1, rows.length));
      if (told === undefined) {
        const summary = `${printable(row.serial, 80)} was skipped.`;
        skipped.push({ row: row.row, serial: row.serial, code: 'skipped', summary });
        continue;
      }
      const [one] = await write(visit, [told], typedBy, photos);
      for (const line of [...one!.notices, lineOf(one!)]) terminal.notice(line);
      logged.push(one!);
    }
  } catch (error) {
    if (!(error instanceof Failure) || error.facts.exit !== exitCode.stopped) throw error;
    return answer(visit, { logged, skipped, stopped: true, lines: [] });
  }
  return answer(visit, { logged, skipped, stopped: false, lines: [] });
}

/** All of them or none. */
async function fromAnswers(visit: Visit, answered: AnsweredRows, options: OptionValues): Promise<Answer> {
  const { context } = visit;
  const typedBy = requireText(await context.requireTypedBy(), '--as', 80);
  const before = visit.again ? [] : answered.told.flatMap(({ row }) => loggedBefore(row) ?? []);
  const told = answered.told.filter(({ row }) => !before.some(({ serial }) => serial === row.serial));
  const photos = told.length === 0 ? [] : photosOf(context, options.photo);
  const logged = told.length === 0 ? [] : await write(visit, told, typedBy, photos);
  for (const { notices } of logged) for (const line of notices) context.terminal.notice(line);
  const skipped = [...answered.skipped, ...before];
  const lines = [...skipped.map(({ summary }) => summary), ...logged.map(lineOf)];
  return answer(visit, { logged, skipped, stopped: false, lines });
}

async function write(
  { context, facts, routes, by, atMs }: Visit,
  told: readonly ToldRow[],
  typedBy: string,
  photos: readonly Photo[],
): Promise<LoggedRow[]> {
  const store = await context.record('write');
  const bodies = told.map(
    ({ settled }): OutcomeLogged => ({
      ...settled.body,
      sheet: facts.sheet,
      ...(photos.length === 0 ? {} : { photos }),
    }),
  );
  const drafts = told.map(({ signs }, i): EntryDraft => {
    const claimedAt = formatLocalTime(signs.atMs ?? atMs ?? context.clock.now(), context.clock);
    return draftEntry('outcome', { claimedAt, typedBy, doneBy: signs.by ?? by }, bodies[i]!);
  });
  const entries = await store.append(drafts);
  const logged: LoggedRow[] = [];
  for (const [i, { row, settled }] of told.entries()) {
    const after: UnitRecord = (await store.unit(row.serial)) ?? row.unit;
    const standing = standingOf(after, routes);
    logged.push({
      row: row.row,
      entry: entries[i]!,
      body: bodies[i]!,
      notices: settled.notices,
      status: standing.status,
      statusText: statusText(standing),
    });
  }
  return logged;
}

interface Done {
  readonly logged: readonly LoggedRow[];
  readonly skipped: readonly SkippedRow[];
  readonly stopped: boolean;
  /** What a person at the terminal has not read on the way. */
  readonly lines: readonly string[];
}

function answer({ facts }: Visit, { logged, skipped, stopped, lines }: Done): Answer {
  const impossible = skipped.some(({ code }) => code !== 'skipped' && code !== 'logged-before');
  const done = `${counted(logged.length, 'row')} of sheet ${facts.sheet} logged`;
  const rest =
    skipped.length === 0 ? '' : `, ${skipped.length} left as ${skipped.length === 1 ? 'it is' : 'they are'}`;
  const goOn = 'What is logged stays; the same command goes on with the rest.';
  return {
    exit: stopped ? exitCode.stopped : impossible ? exitCode.inPart : exitCode.done,
    json: {
      sheet: facts.sheet,
      release: facts.release,
      entries: logged.map(({ row, entry, body, status, notices }) => ({
        row,
        serial: body.serial,
        outcome: body.outcome,
        said: body.said ?? body.outcome,
        evidence: body.evidence,
        left: body.left ?? null,
        entry,
        status,
        notices,
      })),
      skipped,
      stopped,
    },
    text: [...lines, stopped ? `Stopped: ${done}${rest}. ${goOn}` : `${done}${rest}.`].join('\n'),
  };
}

function lineOf({ row, entry, body, statusText }: LoggedRow): string {
  return `Row ${row} logged as ${entry.id}: ${printable(body.serial, 80)} ${body.outcome}. Status: ${statusText}.`;
}

function requireNoneOfOneRow(options: OptionValues): void {
  const name = ofOneRow.find((one) => options[one] !== undefined);
  if (name === undefined) return;
  const flag = `--${name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;
  throw new Failure({
    code: 'option-misplaced',
    exit: 2,
    summary: `${flag} is about one unit, and --sheet without a serial about every row.`,
    where: flag,
    next: `Leave ${flag} out, or name the unit: slotproof log SERIAL OUTCOME --sheet NUMBER.`,
  });
}

function nobodyToAsk(): Failure {
  return new Failure({
    code: 'answer-missing',
    exit: 2,
    summary: 'The rows of a sheet are asked at a terminal, and there is none.',
    expected: '--answers FILE, one JSON object a row',
    where: '--sheet',
    next: 'Give the rows with --answers FILE; or log each unit with slotproof log SERIAL OUTCOME --sheet NUMBER; or take in what a pocket page gave with slotproof collect FILE.',
  });
}
