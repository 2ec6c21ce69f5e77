// One row of a sheet after the other, asked of the person who has the paper: in the order in which the sheet has its
// fields, the outcome first, since it decides which of them matter. A row that cannot be is asked again. Writes nothing.

import { type OutcomeClaim, outcomeKinds } from '../fleet/plan-outcome.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import type { Left, OutcomeKind } from '../record/unit-state.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import { withoutAbsent } from '../words/without-absent.ts';
import { requireClaimedTime } from './claimed-time.ts';
import type { Visit } from './log-sheet.ts';
import { askCause, askLeft, askLights, askMay, askReason, askVersionRead } from './outcome-questions.ts';
import { requireUnitInService } from './registered-unit.ts';
import { type SettledOutcome, settleOutcome } from './settle-outcome.ts';
import { outcomesOfSheet, type SheetRow } from './sheet-rows.ts';

/** Who and when, where the row says so itself. */
export interface RowSigns {
  readonly by: string | undefined;
  readonly atMs: number | undefined;
}

export interface ToldRow {
  readonly row: SheetRow;
  readonly settled: SettledOutcome;
  readonly signs: RowSigns;
}

export interface RowDesk {
  /** Of a sheet whose only row was left open. */
  rowByHand(): Promise<SheetRow>;
  /** undefined: nothing is to be logged of it. */
  ask(row: SheetRow, count: number): Promise<ToldRow | undefined>;
}

const now = 'now';

export function rowDesk(visit: Visit, typedBy: string): RowDesk {
  const { context, facts, routes } = visit;
  const { terminal, clock } = context;
  const patterns = routes.product(facts.product)?.patterns ?? [];
  /** What one row says is likely to be so in the next. */
  const before = { card: undefined as string | undefined, by: typedBy, at: now };

  const askOutcome = (row: SheetRow, count: number): Promise<OutcomeKind | undefined> => {
    const place = row.unit.site === null ? '' : `, ${printable(row.unit.site, 60)}`;
    const question = `Row ${row.row} of ${count}, ${printable(row.serial, 80)}${place}. Its outcome?`;
    const kinds = outcomeKinds.map((value) => ({ value: value as OutcomeKind | undefined, label: value }));
    const skip = { value: undefined, label: 'skip this row' };
    return terminal.choose(question, [...kinds, skip], 'OUTCOME');
  };

  const askClaim = async (outcome: OutcomeKind): Promise<OutcomeClaim> => {
    const worked = outcome === 'updated' || outcome === 'failed';
    const versionBefore = await askMay(terminal, 'Version before', '--version-before VERSION', 64);
    const versionRead =
      outcome === 'already-current'
        ? await askVersionRead(terminal)
        : worked
          ? await askMay(terminal, 'Version read afterwards', '--version-read VERSION', 64)
          : undefined;
    const lights = worked ? await askLights(terminal, patterns) : undefined;
    const left = worked ? await askLeft(terminal) : await askLeftIfSaid();
    const reason = outcome === 'deferred' ? await askReason(terminal) : undefined;
    const cause = outcome === 'failed' ? await askCause(terminal) : undefined;
    const card = await askMay(terminal, 'Card', '--card NAME', 200, before.card);
    before.card = card;
    return {
      outcome,
      release: facts.release,
      ...withoutAbsent({ versionBefore, versionRead, lights, left, reason, cause, card }),
      ...withoutAbsent({
        case: outcome === 'failed' ? await askMay(terminal, 'Case number', '--case NUMBER', 80) : undefined,
        told: await askMay(terminal, 'Customer told', '--told NAME', 80),
      }),
    };
  };

  const askLeftIfSaid = async (): Promise<Left | undefined> => {
    const said = await terminal.confirm('Does it say how the unit was left?', '--left HOW');
    return said ? await askLeft(terminal) : undefined;
  };

  const askSigns = async (): Promise<RowSigns> => {
    const by = visit.by ?? (await askMay(terminal, 'Done by', '--by NAME', 80, before.by));
    before.by = by ?? typedBy;
    return { by, atMs: visit.atMs ?? (await askTime()) };
  };

  const askTime = async (): Promise<number | undefined> => {
    const said = await terminal.text('Day and time', '--at TIME', before.at);
    const atMs = said === now ? undefined : requireClaimedTime({ clock }, said, clock.now());
    before.at = said;
    return atMs;
  };

  const askWhole = async (row: SheetRow, outcome: OutcomeKind): Promise<ToldRow> => {
    const claim = await askClaim(outcome);
    const signs = await askSigns();
    const note = await askMay(terminal, 'Note', '--note TEXT', 2000);
    const settled = await settleOutcome(context, { ...claim, ...withoutAbsent({ note }) }, row.unit, routes);
    return { row, settled, signs };
  };

  return {
    async rowByHand() {
      const unit: UnitRecord = await requireUnitInService(context, undefined);
      requireProduct(unit, facts.product);
      const logged = await outcomesOfSheet(await context.record('read'), unit.serial, facts.sheet);
      return { row: 1, serial: unit.serial, unit, logged };
    },
    async ask(row, count) {
      for (;;) {
        const outcome = await askOutcome(row, count);
        if (outcome === undefined) return undefined;
        try {
          return await askWhole(row, outcome);
        } catch (error) {
          if (!(error instanceof Failure) || error.facts.exit !== 2) throw error;
          const { summary, seen, next } = error.facts;
          terminal.notice(
            `${summary}${seen === undefined ? '' : ` (${seen})`} ${next} This row is asked again.`,
          );
        }
      }
    },
  };
}

export function requireProduct(unit: UnitRecord, product: string): void {
  if (unit.product === product) return;
  throw new Failure({
    code: 'other-product',
    exit: 2,
    summary: `The sheet is for ${printable(product)}, and this unit is none.`,
    seen: printable(unit.product),
    where: printable(unit.serial),
    next: 'Compare the serial with the plate, and the number with the foot of the sheet.',
  });
}
