// The rows of a sheet from a file, for who has no terminal: one JSON object a line, by row or by serial. Every line is
// judged before anything is written; a line that does not fit refuses the whole file. Writes nothing.

import * as z from 'zod';
import {
  deferralReasons,
  failureCauses,
  leftStates,
  type OutcomeClaim,
  outcomeKinds,
} from '../fleet/plan-outcome.ts';
import type { Routes } from '../fleet/routes.ts';
import type { SheetFacts } from '../sheet/sheet-facts.ts';
import { Failure } from '../words/failure.ts';
import { plainText } from '../words/plain-text.ts';
import { printable } from '../words/printable.ts';
import { withoutAbsent } from '../words/without-absent.ts';
import { requireClaimedTime } from './claimed-time.ts';
import type { Context } from './context.ts';
import { requireProduct, type ToldRow } from './log-sheet-desk.ts';
import { requireUnitInService } from './registered-unit.ts';
import { settleUnasked } from './settle-outcome.ts';
import { isSkipped, outcomesOfSheet, type SheetRow, type SkippedRow } from './sheet-rows.ts';

const largestBytes = 1_000_000;
const mostLines = 1000;

const text = (longest: number) =>
  z
    .string()
    .transform((typed, ctx) => {
      const plain = plainText(typed, longest);
      if (plain !== undefined && plain !== '') return plain;
      ctx.addIssue({ code: 'custom', message: `text of 1 to ${longest} characters on one line` });
      return z.NEVER;
    })
    .optional();

const schema = z.strictObject({
  row: z.int().min(1).max(200).optional(),
  serial: text(64),
  outcome: z.enum(outcomeKinds),
  versionBefore: text(64),
  versionRead: text(64),
  /** The display really shows it, although it is not the release's. */
  displayConfirmed: z.literal(true).optional(),
  lights: text(80),
  left: z.enum(leftStates).optional(),
  reason: z.enum(deferralReasons).optional(),
  cause: z.enum(failureCauses).optional(),
  card: text(200),
  case: text(80),
  told: text(80),
  by: text(80),
  at: text(40),
  note: text(2000),
});
type Line = z.output<typeof schema>;

const expected = `a JSON object with row or serial, outcome, and what the row says: ${Object.keys(
  schema.shape,
)
  .slice(3)
  .join(', ')}`;

export interface AnsweredRows {
  readonly told: readonly ToldRow[];
  readonly skipped: readonly SkippedRow[];
}

export async function answeredRows(
  context: Context,
  given: string,
  facts: SheetFacts,
  rows: readonly (SheetRow | SkippedRow)[],
  routes: Routes,
): Promise<AnsweredRows> {
  const path = context.files.absolute(given);
  const lines = context.files
    .readText(path, largestBytes)
    .replace(/^\ufeff/, '')
    .split(/\r?\n/);
  if (lines.length > mostLines) throw wrong('answer-form', path, `There are more than ${mostLines} lines.`);
  const told: ToldRow[] = [];
  const skipped: SkippedRow[] = [];
  const seen = new Set<string>();
  for (const [index, content] of lines.entries()) {
    if (content.trim() === '') continue;
    const where = `${path}:${index + 1}`;
    const line = decodeLine(content, where);
    const row = await rowOf(context, line, facts, rows, where);
    if (seen.has(row.serial ?? '')) {
      throw wrong('answer-twice', where, `${printable(row.serial ?? '', 80)} stands on a line before.`);
    }
    seen.add(row.serial ?? '');
    if (isSkipped(row)) skipped.push(row);
    else told.push(placed(where, () => toldRow(context, line, facts, row, routes)));
  }
  if (seen.size === 0) throw wrong('answer-form', path, 'There is no row in it.');
  return { told, skipped };
}

function decodeLine(content: string, where: string): Line {
  let value: unknown;
  try {
    value = JSON.parse(content);
  } catch {
    throw wrong('answer-form', where, 'This line is no JSON.', content);
  }
  const parsed = schema.safeParse(value);
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  const at = issue === undefined || issue.path.length === 0 ? '' : `${issue.path.join('.')}: `;
  throw wrong(
    'answer-form',
    where,
    `This line is no row: ${printable(`${at}${issue?.message ?? ''}`)}.`,
    content,
  );
}

async function rowOf(
  context: Context,
  { row, serial }: Line,
  facts: SheetFacts,
  rows: readonly (SheetRow | SkippedRow)[],
  where: string,
): Promise<SheetRow | SkippedRow> {
  if (row === undefined && serial === undefined) {
    throw wrong('answer-form', where, 'It says neither which row nor which serial.');
  }
  if (rows.length === 0) return await rowByHand(context, { row, serial }, facts, where);
  const found = rows.find((one) => (row === undefined ? one.serial === serial : one.row === row));
  if (found !== undefined && (serial === undefined || found.serial === serial)) return found;
  const what = serial === undefined ? `row ${row}` : printable(serial, 80);
  const summary =
    found === undefined ? `Sheet ${facts.sheet} has no ${what}.` : `Row ${row} is another unit.`;
  throw wrong('wrong-unit', where, summary, serial ?? String(row));
}

/** The sheet lists no units: any one of its product may have been written in. */
async function rowByHand(
  context: Context,
  { row, serial }: Pick<Line, 'row' | 'serial'>,
  facts: SheetFacts,
  where: string,
): Promise<SheetRow> {
  if (serial === undefined || (row ?? 1) !== 1) {
    throw wrong(
      'answer-form',
      where,
      'This sheet lists no units: the serial has to be said, and its row is 1.',
    );
  }
  const unit = await requireUnitInService(context, serial);
  placed(where, () => requireProduct(unit, facts.product));
  const logged = await outcomesOfSheet(await context.record('read'), unit.serial, facts.sheet);
  return { row: 1, serial: unit.serial, unit, logged };
}

function toldRow({ clock }: Context, line: Line, facts: SheetFacts, row: SheetRow, routes: Routes): ToldRow {
  const { row: _row, serial: _serial, outcome, displayConfirmed, by, at, ...said } = line;
  const claim: OutcomeClaim = { outcome, release: facts.release, ...withoutAbsent(said) };
  return {
    row,
    settled: settleUnasked(claim, row.unit, routes, displayConfirmed === true),
    signs: { by, atMs: at === undefined ? undefined : requireClaimedTime({ clock }, at, clock.now()) },
  };
}

/** What is refused names its line. */
function placed<T>(where: string, act: () => T): T {
  try {
    return act();
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    throw new Failure({ ...error.facts, where }, error);
  }
}

function wrong(code: string, where: string, summary: string, seen?: string): Failure {
  return new Failure({
    code,
    exit: 2,
    summary,
    ...(seen === undefined ? {} : { seen: printable(seen, 200) }),
    expected: printable(expected, 400),
    where,
    next: 'Mend this line and run the same again; nothing was logged.',
  });
}
