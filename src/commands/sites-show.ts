// `sites show SITE`: all that is known of one site: address, whom to call, how to get in, each unit with its role and how it
// stands, and the units that stood there before. Of one unit alone `units show` tells more.

import { type Routes, routesOn } from '../fleet/routes.ts';
import { checkSiteDetails, type SiteField, saidOfSite, siteFields } from '../fleet/site-details.ts';
import { standingOf } from '../fleet/status.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import type { Finding } from '../words/finding.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { type FormerUnit, formerUnits } from './site-history.ts';
import { knownSites, requireSite, spelledAlike } from './site-meant.ts';
import { countsText, noStatus } from './sites-list.ts';
import { statusText, unitJson, versionText } from './unit-view.ts';

interface Shown {
  readonly site: string;
  readonly units: readonly UnitRecord[];
  readonly before: readonly FormerUnit[];
  readonly findings: readonly Finding[];
  readonly routes: Routes;
}

export async function run(
  context: Context,
  [name = '']: readonly (string | undefined)[],
  _options: OptionValues,
): Promise<Answer> {
  const { clock } = context;
  const site = await requireSite(context, name, 'SITE');
  const store = await context.record('read');
  const units: UnitRecord[] = [];
  for await (const unit of store?.units({ site }) ?? []) units.push(unit);
  const before = store === undefined ? [] : await formerUnits(store, site);
  const routes = routesOn(await context.catalogue(), formatLocalDay(clock.now(), clock));
  const findings = [
    ...spellingFindings(site, spelledAlike(await knownSites(context), site)),
    ...checkSiteDetails(site, units),
  ];
  const shown = { site, units, before, findings, routes };
  return { exit: 0, json: json(context, shown), text: text(context, shown) };
}

function json({ clock }: Context, { site, units, before, findings, routes }: Shown): Record<string, unknown> {
  const most = (field: SiteField) => saidOfSite(units, field)[0]?.text ?? null;
  const time = (atMs: number | null) => (atMs === null ? null : formatLocalTime(atMs, clock));
  return {
    site,
    ...Object.fromEntries(siteFields.map((field) => [field, most(field)])),
    counts: countsOf(units, routes),
    units: units.map((unit) => ({ ...unitJson(unit, routes, clock), role: unit.details.role ?? null })),
    before: before.map(({ unit, stay }) => ({
      serial: unit.serial,
      product: unit.product,
      since: time(stay.sinceMs),
      until: time(stay.untilMs),
      ended: stay.ended,
      now: unit.retired ? null : unit.site,
      retired: unit.retired,
    })),
    findings,
  };
}

function countsOf(units: readonly UnitRecord[], routes: Routes) {
  const counts = noStatus();
  for (const unit of units) counts[standingOf(unit, routes).status] += 1;
  return counts;
}

function text({ clock, terminal }: Context, { site, units, before, findings, routes }: Shown): string {
  const day = (atMs: number) => formatLocalDay(atMs, clock);
  const lines = [printable(site, 120)];
  for (const field of siteFields) {
    const [first] = saidOfSite(units, field);
    const title = `${field[0]?.toUpperCase()}${field.slice(1)}`;
    lines.push(`${title.padEnd(10)}${first === undefined ? 'not said' : printable(first.text, 500)}`);
  }
  for (const unit of units) lines.push('', ...unitLines(unit, routes, day));
  if (before.length > 0) lines.push('', 'Stood here before:');
  for (const { unit, stay } of before) lines.push(`  ${formerText(unit, stay, day)}`);
  if (findings.length > 0) lines.push('', renderFindings(findings, terminal));
  const state = units.length === 0 ? 'no unit in service' : countsText(countsOf(units, routes));
  lines.push('', `${counted(units.length, 'unit')} at ${printable(site, 120)}: ${state}.`);
  return lines.join('\n');
}

function unitLines(unit: UnitRecord, routes: Routes, day: (atMs: number) => string): string[] {
  const { lastOutcome, details } = unit;
  const role = details.role === undefined ? '' : `, ${printable(details.role, 120)}`;
  return [
    `${printable(unit.serial)}  ${printable(unit.product, 60)} ${printable(unit.hardware ?? '?', 40)}${role}`,
    `  ${versionText(unit)}; ${statusText(standingOf(unit, routes))}`,
    ...(lastOutcome === null
      ? []
      : [
          `  last ${lastOutcome.kind} on ${day(lastOutcome.atMs)} by ${printable(lastOutcome.by, 80)}; left ${unit.left ?? 'not said'}`,
        ]),
    ...(details.notes === undefined ? [] : [`  notes: ${printable(details.notes, 500)}`]),
  ];
}

function formerText(
  { serial, retired, site }: UnitRecord,
  stay: FormerUnit['stay'],
  day: (atMs: number) => string,
) {
  const until = stay.untilMs === null ? '' : ` until ${day(stay.untilMs)}`;
  if (retired) return `${printable(serial)}${until}; retired`;
  const right = stay.ended === 'put-right' ? ' (the register was put right)' : '';
  return `${printable(serial)}${until}${right}; now at ${printable(site ?? 'no site that is known', 120)}`;
}

function spellingFindings(site: string, alike: readonly string[]): Finding[] {
  return alike
    .filter((other) => other !== site)
    .map((other) => ({
      code: 'site-spelled-twice',
      severity: 'warn',
      summary: 'Other units stand at a site of the same name, spelled in another way.',
      seen: printable(other, 120),
      expected: printable(site, 120),
      next: `If it is the same site: slotproof sites change "${printable(other, 120)}" --name "${printable(site, 120)}" --merge`,
    }));
}
