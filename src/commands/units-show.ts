// `units show`: all that is known of one unit, and every entry that says so, oldest first.

import { routesOn } from '../fleet/routes.ts';
import { standingOf } from '../fleet/status.ts';
import { whyStanding } from '../fleet/why.ts';
import type { Entry } from '../ports/record-store.ts';
import { correctionOf, correctionsIn } from '../record/as-corrected.ts';
import { entryText } from '../record/entry-text.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { type Stay, unitStays } from '../record/unit-stays.ts';
import { counted } from '../words/counted.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
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
  const remarks = remarksOn(entries);
  const stays = unitStays(entries);
  const day = (atMs: number) => formatLocalDay(atMs, clock);
  return {
    exit: 0,
    json: {
      unit: unitJson(unit, routes, clock),
      sites: stays.map(({ site, sinceMs, begun, untilMs, ended }) => ({
        site,
        since: formatLocalTime(sinceMs, clock),
        begun,
        until: untilMs === null ? null : formatLocalTime(untilMs, clock),
        ended,
      })),
      entries: entries.map((entry) => ({ ...entryJson(entry), ...correctionJson(entry, remarks) })),
    },
    text: [
      ...facts(unit),
      ...earlierSites(stays, day),
      '',
      ...historyLines(entries, remarks),
      '',
      unit.retired
        ? 'Retired: it is not counted in audits.'
        : `${printable(whyStanding(unit, standing, day), 500)}\nStatus: ${statusText(standing)}.`,
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

/** Where it stood before it came to its site of now. */
function earlierSites(stays: readonly Stay[], day: (atMs: number) => string): string[] {
  return stays.slice(0, -1).map(({ site, sinceMs, begun, untilMs, ended }) => {
    // When it was registered says nothing of when it came.
    const since = begun === 'registered' ? '' : ` from ${day(sinceMs)}`;
    const until = untilMs === null ? '' : ` until ${day(untilMs)}`;
    const right = ended === 'put-right' ? ' (the register was put right)' : '';
    return `${'Before'.padEnd(10)}${printable(site ?? 'no site', 120)}${since}${until}${right}`;
  });
}

/** The single steps of a walk are told as one line: thirty of them would bury everything else. */
function historyLines(entries: readonly Entry[], remarks: Remarks): string[] {
  const lines: string[] = [];
  let steps = 0;
  for (const [index, entry] of entries.entries()) {
    if (entry.kind !== 'step-done') {
      lines.push(historyLine(entry, remarks));
      continue;
    }
    steps += 1;
    if (entries[index + 1]?.kind === 'step-done') continue;
    lines.push(`${' '.repeat(18)}${counted(steps, 'step')} of the visit; --json lists them`);
    steps = 0;
  }
  return lines;
}

/** Id -> what corrections make of an entry, and of each other. */
type Remarks = ReadonlyMap<string, Remark>;
type Remark =
  | { readonly correctedBy: string; readonly isVoid: boolean }
  /** A correction that does not count: a later one does (null: it names no entry that is here). */
  | { readonly outdoneBy: string | null };

function remarksOn(entries: readonly Entry[]): Remarks {
  const remarks = new Map<string, Remark>();
  const corrections = correctionsIn(entries);
  const counting = new Map<string, string>();
  for (const entry of entries) {
    const correction = correctionOf(entry, corrections);
    if (correction === undefined) continue;
    counting.set(entry.id, correction.id);
    remarks.set(entry.id, { correctedBy: correction.id, isVoid: correction.body.void === true });
  }
  for (const [id, all] of corrections) {
    for (const one of all) {
      const counts = counting.get(id) ?? null;
      if (counts !== one.id) remarks.set(one.id, { outdoneBy: counts });
    }
  }
  return remarks;
}

function correctionJson(entry: Entry, remarks: Remarks): Record<string, unknown> {
  const remark = remarks.get(entry.id);
  const correctedBy = remark !== undefined && 'correctedBy' in remark ? remark.correctedBy : null;
  if (entry.kind !== 'correction') return { correctedBy };
  return { correctedBy, counts: remark === undefined };
}

function remarkText(remark: Remark | undefined): string {
  if (remark === undefined) return '';
  if ('correctedBy' in remark)
    return `; ${remark.isVoid ? 'made void' : 'corrected'} by ${remark.correctedBy}`;
  return remark.outdoneBy === null ? '; names no entry that is here' : `; outdone by ${remark.outdoneBy}`;
}

function historyLine(entry: Entry, remarks: Remarks): string {
  const by = entry.typedBy === entry.doneBy ? entry.doneBy : `${entry.doneBy} (typed by ${entry.typedBy})`;
  const when = entry.claimedAt.slice(0, 16).replace('T', ' ');
  return `${when}  ${entryText(entry)}  [${printable(by, 80)}, ${entry.id}${remarkText(remarks.get(entry.id))}]`;
}
