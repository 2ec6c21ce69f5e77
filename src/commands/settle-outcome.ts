// From what was said of a unit to what is written: by the rules of `plan-outcome.ts`, and with the one question that
// they leave to a person. Writes nothing.

import { asFailed, type OutcomeClaim, planOutcome, withDisplayConfirmed } from '../fleet/plan-outcome.ts';
import type { Routes } from '../fleet/routes.ts';
import type { OutcomeLogged } from '../record/entry.ts';
import type { UnitState } from '../record/unit-state.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';
import { requireText } from './option-text.ts';

export interface SettledOutcome {
  readonly body: OutcomeLogged;
  readonly notices: readonly string[];
}

/** A version read that may be a slip is taken only where a person says that it is so shown. */
export async function settleOutcome(
  { terminal }: Pick<Context, 'terminal'>,
  claim: OutcomeClaim,
  unit: UnitState,
  routes: Routes,
): Promise<SettledOutcome> {
  if (!terminal.interactive) return settleUnasked(claim, unit, routes, false);
  const plan = planOutcome(claim, unit, routes);
  if (plan.versionInDoubt === undefined) return plan;
  const read = printable(claim.versionRead ?? '');
  const why =
    plan.versionInDoubt === 'other'
      ? `${read} is not the version of ${plan.body.release}.`
      : `No release of ${unit.product} has the version ${read}.`;
  const question = `${why} Does the display really show ${read}?`;
  if (await terminal.confirm(question, '--version-read VERSION')) {
    return { body: withDisplayConfirmed(plan.body), notices: plan.notices };
  }
  const again = await terminal.text('Which version does the display show?', '--version-read VERSION');
  const versionRead = requireText(again, '--version-read', 64);
  return await settleOutcome({ terminal }, { ...claim, versionRead }, unit, routes);
}

/** Nobody can be asked now. `confirmed`: it was asked on site, and the display really shows it. */
export function settleUnasked(
  claim: OutcomeClaim,
  unit: UnitState,
  routes: Routes,
  confirmed: boolean,
): SettledOutcome {
  const plan = planOutcome(claim, unit, routes);
  if (plan.versionInDoubt === undefined) return plan;
  if (confirmed) return { body: withDisplayConfirmed(plan.body), notices: plan.notices };
  // It stays what our people say they read; that it may be a slip is among the notices.
  if (plan.versionInDoubt === 'unknown') return plan;
  const read = printable(claim.versionRead ?? '');
  const notice = `The version read, ${read}, is not that of ${plan.body.release}, and nobody could be asked: recorded as failed.`;
  return { body: asFailed(plan.body, claim.left !== undefined), notices: [...plan.notices, notice] };
}
