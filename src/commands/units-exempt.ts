// `units exempt`: a unit need not be updated, for a reason, until a day or until somebody ends it.

import { routesOn } from '../fleet/routes.ts';
import { standingOf } from '../fleet/status.ts';
import { draftEntry } from '../record/entry.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay, parseLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { textOption } from './option-text.ts';
import { registerSigner } from './register-signer.ts';
import { requireRegisteredUnit } from './registered-unit.ts';
import { unitJson } from './unit-view.ts';

export async function run(
  context: Context,
  [serial = '']: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const ends = options.end === true;
  const given = textOption(options, 'why', '--why', 500);
  const until = untilDay(context, options);
  if (ends && until !== null) throw wrongUse('--until does not go with --end.', 'Leave one of them out.');
  const unit = await requireRegisteredUnit(context, serial);
  if (ends && unit.exempt === null) {
    throw wrongUse('This unit is not exempt.', 'Check the serial with slotproof units show.', unit.serial);
  }
  const why =
    given ?? (ends ? undefined : await context.terminal.text('Why need it not be updated?', '--why TEXT'));
  const signer = await registerSigner(context);
  const draft =
    why === undefined || ends
      ? draftEntry('exemption-ended', signer, { serial: unit.serial, ...(why === undefined ? {} : { why }) })
      : draftEntry('exemption-begun', signer, { serial: unit.serial, why, until });
  const store = await context.record('write');
  const [entry] = await store.append([draft]);
  const after = (await store.unit(unit.serial)) ?? unit;
  const routes = routesOn(await context.catalogue(), formatLocalDay(context.clock.now(), context.clock));
  const { status } = standingOf(after, routes);
  const name = printable(unit.serial);
  const last = until === null ? 'until somebody ends it' : `up to and with ${until}`;
  return {
    exit: 0,
    json: { unit: unitJson(after, routes, context.clock), status, entry },
    text: ends
      ? `${name} is no longer exempt: it is ${status}.`
      : `${name} is exempt ${last}. Its status is ${status}.`,
  };
}

/** A day that is not over yet; null: none was given. */
function untilDay({ clock }: Context, options: OptionValues): string | null {
  const text = options.until;
  if (typeof text !== 'string') return null;
  const day = text.trim();
  if (!/^\d{4}-\d{2}-\d{2}$/.test(day) || parseLocalTime(day, clock) === undefined) {
    throw wrongUse('--until is no day.', 'Write it as 2027-03-31.', day);
  }
  if (day < formatLocalDay(clock.now(), clock)) {
    throw wrongUse('--until lies in the past.', 'Give the last day on which the unit is exempt.', day);
  }
  return day;
}

function wrongUse(summary: string, next: string, seen?: string): Failure {
  return new Failure({
    code: 'exemption-unclear',
    exit: 2,
    summary,
    ...(seen === undefined ? {} : { seen: printable(seen) }),
    next,
  });
}
