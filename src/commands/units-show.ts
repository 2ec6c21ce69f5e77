// `units show`: all that is known of one unit, and every entry that says so, oldest first.

import { routesOn } from '../fleet/routes.ts';
import { standingOf } from '../fleet/status.ts';
import { whyStanding } from '../fleet/why.ts';
import type { Entry } from '../ports/record-store.ts';
import { entryText } from '../record/entry-text.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { counted } from '../words/counted.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Answer } from './command.ts';
import type { Context } from './context.ts';
import { requireRegisteredUnit } from './registered-unit.ts';
import { statusText, unitJson, versionText } from './unit-view.ts';

export async function run(context: Context, [serial = '']: readonly (string | undefined)[]): Promise<Answer> {
  const { clock } = context;
  const unit = await requireRegisteredUnit(context, serial);
  const store = await context.record('read');
  const routes = routesOn(await context.catalogue(), formatLocalDay(clock.now(), clock));
  const entries: Entry[] = [];
  for await (const entry of store?.entries({ serial: unit.serial }) ?? []) entries.push(entry);
  const standing = standingOf(unit, routes);
  return {
    exit: 0,
    json: { unit: unitJson(unit, routes, clock), entries: entries.map(entryJson) },
    text: [
      ...facts(unit),
      '',
      ...historyLines(entries),
      '',
      unit.retired
        ? 'Retired: it is not counted in audits.'
        : `${printable(
            whyStanding(unit, standing, (atMs) => formatLocalDay(atMs, clock)),
            500,
          )}\nStatus: ${statusText(standing)}.`,
    ].join('\n'),
  };
}

function entryJson(entry: Entry): Record<string, unknown> {
  const { id, laptop, seq, hash, kind, claimedAt, writtenAt, typedBy, doneBy, body } = entry;
  return { id, laptop, seq, hash, kind, claimedAt, writtenAt, typedBy, doneBy, body };
}

function facts(unit: UnitRecord): string[] {
  const { exempt } = unit;
  return [
    ['Serial', unit.serial],
    ['Product', unit.product],
    ['Revision', unit.hardware ?? 'not known'],
    ['Site', unit.site ?? 'not known'],
    ['Version', versionText(unit)],
    ['Left', unit.left ?? 'not said'],
    ...Object.entries(unit.details).map(([name, text]) => [name[0]!.toUpperCase() + name.slice(1), text]),
    ...(exempt === null
      ? []
      : [['Exempt', `${exempt.why}${exempt.until === null ? '' : `, until ${exempt.until}`}`]]),
  ].map(([name = '', text = '']) => `${name.padEnd(10)}${printable(text, 500)}`);
}

/** The single steps of a walk are told as one line: thirty of them would bury everything else. */
function historyLines(entries: readonly Entry[]): string[] {
  const lines: string[] = [];
  let steps = 0;
  for (const [index, entry] of entries.entries()) {
    if (entry.kind !== 'step-done') {
      lines.push(historyLine(entry));
      continue;
    }
    steps += 1;
    if (entries[index + 1]?.kind === 'step-done') continue;
    lines.push(`${' '.repeat(18)}${counted(steps, 'step')} of the visit; --json lists them`);
    steps = 0;
  }
  return lines;
}

function historyLine(entry: Entry): string {
  const by = entry.typedBy === entry.doneBy ? entry.doneBy : `${entry.doneBy} (typed by ${entry.typedBy})`;
  const when = entry.claimedAt.slice(0, 16).replace('T', ' ');
  return `${when}  ${entryText(entry)}  [${printable(by, 80)}, ${entry.id}]`;
}
