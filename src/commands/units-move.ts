// `units move`: a unit stands at another site now. Its entries stay with it; what was said of the old site goes, and what the
// units of the new one say of theirs comes. A register that named the wrong site is put right with `units add --site` or
// `sites change` instead.

import { planMove } from '../fleet/plan-move.ts';
import { type Routes, routesOn } from '../fleet/routes.ts';
import { checkSiteDetails } from '../fleet/site-details.ts';
import { standingOf } from '../fleet/status.ts';
import type { Entry } from '../ports/record-store.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { type Stay, unitStays } from '../record/unit-stays.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { requireClaimedTime } from './claimed-time.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { textOption } from './option-text.ts';
import { registerSigner } from './register-signer.ts';
import { requireUnitInService } from './registered-unit.ts';
import { requireSiteToMoveTo, type SiteToMoveTo } from './site-meant.ts';
import { siteDetailOptions } from './site-options.ts';
import { statusText, unitJson } from './unit-view.ts';

export async function run(
  context: Context,
  [serial = '']: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { clock, terminal } = context;
  const role = textOption(options, 'role', '--role', 500);
  const why = textOption(options, 'why', '--why', 500);
  const doneBy = textOption(options, 'by', '--by', 80);
  const said = siteDetailOptions(options);
  const nowMs = clock.now();
  const atMs =
    typeof options.at === 'string'
      ? requireClaimedTime(context, options.at, nowMs, 'the unit was moved')
      : nowMs;
  const unit = await requireUnitInService(context, serial);
  const typed =
    typeof options.to === 'string' ? options.to : await terminal.text('To which site?', '--to SITE');
  const to = await requireSiteToMoveTo(context, typed, options.newSite === true);
  const routes = routesOn(await context.catalogue(), formatLocalDay(nowMs, clock));
  if (unit.site === to.site) return standsThere(context, unit, routes, { role, said });

  const store = await context.record('read');
  const entries: Entry[] = [];
  for await (const one of store?.entries({ serial: unit.serial }) ?? []) entries.push(one);
  requireAfterRegistration(context, unit, unitStays(entries).at(-1), atMs);
  const there: UnitRecord[] = [];
  if (!to.isNew) for await (const one of store?.units({ site: to.site }) ?? []) there.push(one);
  const signer = { ...(await registerSigner(context)), claimedAt: formatLocalTime(atMs, clock), doneBy };
  const draft = planMove({ unit, to: to.site, role, why, said, there }, signer);
  const writing = await context.record('write');
  const [entry] = await writing.append([draft]);
  const after = await writing.unit(unit.serial);
  if (after === undefined) throw new Error(`${unit.serial} was written and is not there`);
  const product = (await context.catalogue()).products.get(unit.product);
  const findings = [
    ...placeFindings(unit, to, after),
    ...roleFindings(unit, role, Object.keys(product?.order ?? {}).length > 0),
    ...checkSiteDetails(to.site, [...there, after]),
  ];
  const [name, from] = [printable(unit.serial), printable(unit.site ?? 'no site', 120)];
  return {
    exit: 0,
    json: {
      serial: unit.serial,
      from: unit.site,
      to: to.site,
      moved: true,
      newSite: to.isNew,
      unit: unitJson(after, routes, clock),
      entry: entry ?? null,
      findings,
    },
    text: [
      ...(findings.length === 0 ? [] : [renderFindings(findings, terminal), '']),
      after.site === to.site
        ? `${name} moved from ${from} to ${printable(to.site, 120)}: ${statusText(standingOf(after, routes))}.`
        : `${name} stood at ${printable(to.site, 120)} for a time; it stands at ${printable(after.site ?? 'no site', 120)} now.`,
    ].join('\n'),
  };
}

/** Nothing is written: what else is said of a unit that stays is for `units add`. */
function standsThere(
  { clock }: Context,
  unit: UnitRecord,
  routes: Routes,
  { role, said }: { role: string | undefined; said: Readonly<Record<string, string>> },
): Answer {
  const { serial, site } = unit;
  const name = printable(serial);
  if ((role !== undefined && role !== unit.details.role) || Object.keys(said).length > 0) {
    throw new Failure({
      code: 'not-moved',
      exit: 2,
      summary: 'This unit stands at that site already.',
      seen: printable(site ?? '', 120),
      where: name,
      next: `What else is another now is said with slotproof units add ${name}, or for the whole site with slotproof sites change.`,
    });
  }
  return {
    exit: 0,
    json: {
      serial,
      from: site,
      to: site,
      moved: false,
      newSite: false,
      unit: unitJson(unit, routes, clock),
      entry: null,
      findings: [],
    },
    text: `${name} stands at ${printable(site ?? '', 120)} already; nothing was written.`,
  };
}

/** The register was typed in later and names another site: a move before that would be told and count for nothing. */
function requireAfterRegistration(
  { clock }: Context,
  unit: UnitRecord,
  stay: Stay | undefined,
  atMs: number,
) {
  if (stay?.begun !== 'registered' || atMs >= stay.sinceMs) return;
  throw new Failure({
    code: 'before-registered',
    exit: 2,
    summary: 'It was registered at its present site only after that time.',
    seen: formatLocalTime(atMs, clock),
    expected: `${formatLocalTime(stay.sinceMs, clock)} or later`,
    where: '--at',
    next: `Leave --at out. If it never stood at ${printable(stay.site ?? 'that site', 120)}, put the register right: slotproof units add ${printable(unit.serial)} --site SITE`,
  });
}

function placeFindings(
  unit: UnitRecord,
  { site, findings: ofName }: SiteToMoveTo,
  after: UnitRecord,
): Finding[] {
  const findings = [...ofName];
  const where = printable(unit.serial);
  if (after.site !== site) {
    findings.push({
      code: 'later-entry',
      severity: 'warn',
      summary: 'An entry of a later time says that it stands elsewhere, and counts.',
      seen: printable(after.site ?? 'no site', 120),
      expected: printable(site, 120),
      where,
      next: `Look at its entries: slotproof units show ${where}`,
    });
  }
  return findings;
}

function roleFindings(unit: UnitRecord, role: string | undefined, inOrder: boolean): Finding[] {
  const kept = unit.details.role;
  if (kept === undefined || role !== undefined) return [];
  return [
    {
      code: 'role-kept',
      // The maker's order among the units of a site goes by their roles.
      severity: inOrder ? 'warn' : 'note',
      summary: 'Its role is still the one that it had at the other site.',
      seen: printable(kept, 120),
      where: printable(unit.serial),
      next: `If it is another now: slotproof units add ${printable(unit.serial)} --role ROLE`,
    },
  ];
}
