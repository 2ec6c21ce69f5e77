// `plan --visits FILE` or `plan --site S`: what coming visits take: for each unit its path and how long that may last, for
// each site the sum, and the cards with one firmware file each. Decides nothing and writes nothing.

import { type NeededCard, neededCards, type PlannedUnit } from '../fleet/card-plan.ts';
import { routesOn } from '../fleet/routes.ts';
import { type SiteField, saidOfSite, siteFields } from '../fleet/site-details.ts';
import { standingOf, type UnitStanding } from '../fleet/status.ts';
import { howUpdated } from '../fleet/unread-update.ts';
import { siteKey, type Visit } from '../fleet/visit-list.ts';
import { type DayOf, whyStanding } from '../fleet/why.ts';
import { isCalendarDate } from '../manifest/calendar-date.ts';
import type { Product } from '../manifest/schema.ts';
import { procedureTimes } from '../procedure/procedure-times.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import type { UnitState } from '../record/unit-state.ts';
import { counted } from '../words/counted.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';
import { standingCards } from './cards-known.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { requireVisits } from './visit-table.ts';

/** To go to a unit and read its version. */
const readingMinutes = 10;

interface UnitPlan extends PlannedUnit {
  readonly site: string;
  /** null: a procedure has no longest time. */
  readonly minutes: number | null;
  readonly standing: UnitStanding;
}

interface SitePlan {
  readonly site: string;
  readonly minutes: number | null;
  /** As the list says; the least where several lines do. */
  readonly available: number | null;
  /** As its units say; what most of them say, where they differ. */
  readonly address: string | null;
  readonly contact: string | null;
  readonly access: string | null;
}

export async function run(
  context: Context,
  _positionals: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const vans = requireVans(options.vans);
  const catalogue = await context.catalogue();
  const store = await context.record('read');
  const units: UnitRecord[] = [];
  for await (const unit of store?.units() ?? []) units.push(unit);
  const day = requireDay(options.date) ?? formatLocalDay(context.clock.now(), context.clock);
  const { visits, refused } = await wantedVisits(context, options, units, catalogue.products);
  const routes = routesOn(catalogue, day);
  const dayOf = (atMs: number) => formatLocalDay(atMs, context.clock);
  const minutesOf = longestOf(catalogue.products);

  const planned: UnitPlan[] = [];
  const noPath: { serial: string; why: string }[] = [];
  for (const unit of once(visits)) {
    const standing = standingOf(unit, routes);
    const { status, path, unread } = standing;
    // One that is current by what was read before it was updated may have what is withdrawn.
    const isInDoubt = unread !== null && unread.withdrawn !== null;
    if (status === 'exempt' || (status === 'current' && !isInDoubt)) continue;
    const { serial, product, hardware } = unit;
    const isToRead = status === 'to-confirm' || status === 'current';
    if (path.length === 0 && !isToRead) noPath.push({ serial, why: whyStanding(unit, standing, dayOf) });
    const each = minutesOf(product);
    const minutes = path.length === 0 ? readingMinutes : each === null ? null : each * path.length;
    const isCarried = path.length > 0 || isToRead;
    if (isCarried)
      planned.push({ serial, product, hardware, path, site: unit.site ?? '', minutes, standing });
  }
  const sites = sitesOf(planned, visits, units);
  const cards = neededCards({
    units: planned.filter(({ path }) => path.length > 0),
    products: catalogue.products,
    releases: catalogue.releases,
    ready: await readyCards(context),
    vans,
    day,
  });
  return {
    exit: refused.length === 0 ? 0 : planned.length + noPath.length === 0 ? 3 : 4,
    json: {
      date: day,
      vans,
      cards: cards.map(({ card, release, units: serials, for: use }) => ({
        card,
        releases: [release],
        units: serials,
        for: use,
      })),
      sites,
      units: planned.map(({ serial, site, path, minutes, standing }) => ({
        serial,
        site,
        status: standing.status,
        path: path.map(({ version }) => version),
        minutes,
        ...readFirstJson(standing, dayOf),
      })),
      noPath,
      refused,
    },
    text: render(context, { planned, sites, cards, noPath, refused, day, dayOf }),
  };
}

/** An update after which no version was read: the path goes by the version from before it. */
function readFirstJson({ unread }: UnitStanding, dayOf: DayOf) {
  if (unread === null) return {};
  const { outcome, version, withdrawn } = unread;
  const { evidence, atMs } = outcome;
  return { readFirst: { version, on: dayOf(atMs), evidence, withdrawn: withdrawn !== null } };
}

function requireVans(value: OptionValues[string]): number {
  if (value === undefined) return 1;
  const vans = Number(value);
  if (Number.isInteger(vans) && vans >= 1 && vans <= 100) return vans;
  throw new Failure({
    code: 'bad-number',
    exit: 2,
    summary: '--vans is no number of vans.',
    seen: printable(String(value), 40),
    expected: '1 to 100',
    where: '--vans',
    next: 'Say how many vans go out.',
  });
}

function requireDay(value: OptionValues[string]): string | undefined {
  if (typeof value !== 'string') return undefined;
  if (isCalendarDate(value.trim())) return value.trim();
  throw new Failure({
    code: 'date-form',
    exit: 2,
    summary: '--date is no day.',
    seen: printable(value, 40),
    expected: 'a day as YYYY-MM-DD',
    where: '--date',
    next: 'For example: --date 2026-11-24',
  });
}

/** Of a list with dates those of the day, where one was named; those without a date always. */
async function wantedVisits(
  context: Context,
  { visits: file, site, date, encoding }: OptionValues,
  units: readonly UnitState[],
  products: ReadonlyMap<string, Product>,
): Promise<{
  readonly visits: readonly Visit[];
  readonly refused: readonly { line: number; code: string; summary: string }[];
}> {
  if (typeof file === 'string') {
    const { visits, refused } = await requireVisits(context, file, units, products.values(), encoding);
    const wanted = visits.filter(
      (visit) => typeof date !== 'string' || visit.date === null || visit.date === date.trim(),
    );
    return { visits: wanted, refused };
  }
  if (!Array.isArray(site) || site.length === 0) {
    throw new Failure({
      code: 'option-missing',
      exit: 2,
      summary: 'Which visits are planned was not said.',
      expected: '--visits FILE.csv, or --site SITE',
      next: 'Name a list of visits, or the sites.',
    });
  }
  const visits = site.map((name: string, index: number): Visit => {
    const there = units.filter((unit) => unit.site !== null && siteKey(unit.site) === siteKey(name));
    if (there.length > 0) return { line: index + 1, named: 'site', units: there, date: null, minutes: null };
    const [near] = nearNames(name, new Set(units.flatMap((unit) => unit.site ?? [])), 1);
    throw new Failure({
      code: 'site-unknown',
      exit: 2,
      summary: 'No unit is registered at this site.',
      seen: printable(name, 80),
      where: '--site',
      next: `${near === undefined ? '' : `Did you mean ${printable(near, 80)}? `}slotproof sites list names the sites.`,
    });
  });
  return { visits, refused: [] };
}

/** Each unit once, in the order of the list. */
function once(visits: readonly Visit[]): UnitState[] {
  return [
    ...new Map(visits.flatMap(({ units }) => units.map((unit) => [unit.serial, unit] as const))).values(),
  ];
}

/** The longest time of a product's procedure, worked out once; steps that a site shares count for each unit. */
function longestOf(products: ReadonlyMap<string, Product>): (product: string) => number | null {
  const known = new Map<string, number | null>();
  return (id) => {
    const product = products.get(id);
    if (!known.has(id))
      known.set(id, product === undefined ? null : (procedureTimes(product).longest?.minutes ?? null));
    return known.get(id) ?? null;
  };
}

function sitesOf(
  planned: readonly UnitPlan[],
  visits: readonly Visit[],
  all: readonly UnitRecord[],
): SitePlan[] {
  const there = new Map<string, UnitRecord[]>(planned.map(({ site }) => [site, []]));
  for (const unit of all) if (unit.site !== null) there.get(unit.site)?.push(unit);
  const told = (site: string, field: SiteField) => saidOfSite(there.get(site) ?? [], field)[0]?.text ?? null;
  const sites = new Map<string, UnitPlan[]>();
  for (const unit of planned) sites.set(unit.site, [...(sites.get(unit.site) ?? []), unit]);
  return [...sites].map(([site, units]) => {
    const said = visits.flatMap((visit) =>
      visit.minutes !== null && visit.units.some((unit) => (unit.site ?? '') === site) ? [visit.minutes] : [],
    );
    const minutes = units.some((unit) => unit.minutes === null)
      ? null
      : units.reduce((sum, unit) => sum + (unit.minutes ?? 0), 0);
    return {
      site,
      minutes,
      available: said.length === 0 ? null : Math.min(...said),
      address: told(site, 'address'),
      contact: told(site, 'contact'),
      access: told(site, 'access'),
    };
  });
}

async function readyCards(context: Context): Promise<ReadonlyMap<string, readonly string[]>> {
  const ready = new Map<string, string[]>();
  for (const { card, standing } of await standingCards(context)) {
    if (standing !== 'ready') continue;
    const { release } = card.prepared;
    ready.set(release, [...(ready.get(release) ?? []), card.card]);
  }
  return ready;
}

interface Shown {
  readonly planned: readonly UnitPlan[];
  readonly sites: readonly SitePlan[];
  readonly cards: readonly NeededCard[];
  readonly noPath: readonly { readonly serial: string; readonly why: string }[];
  readonly refused: readonly { readonly line: number; readonly code: string; readonly summary: string }[];
  readonly day: string;
  readonly dayOf: DayOf;
}

const uses = { visit: '', spare: 'spare', 'way-back': 'way back' } as const;

function cardText({ card, release, units, for: use }: NeededCard): string {
  const name = card === null ? 'to prepare' : printable(card, 200);
  const what = uses[use] === '' ? counted(units.length, 'unit') : uses[use];
  return `  ${name}: ${printable(release, 140)}, ${what}`;
}

function readFirstLines({ unread }: UnitStanding, dayOf: DayOf): string[] {
  if (unread === null) return [];
  const { outcome, version, withdrawn } = unread;
  const gone = withdrawn === null ? '' : ', which is withdrawn';
  return [
    `    read its version first: updated to ${printable(version, 40)}${gone}, on ${dayOf(outcome.atMs)}, ${howUpdated(outcome)}`,
  ];
}

function render(
  { terminal }: Context,
  { planned, sites, cards, noPath, refused, day, dayOf }: Shown,
): string {
  const minutes = (count: number | null) => (count === null ? 'no longest time' : `up to ${count} min`);
  const lines: string[] = [];
  for (const place of sites) {
    const { site, minutes: takes, available } = place;
    const short =
      available !== null && takes !== null && takes > available ? `, but ${available} min are there` : '';
    lines.push(`${printable(site === '' ? 'no site' : site, 100)}: ${minutes(takes)}${short}`);
    for (const field of siteFields) {
      const said = place[field];
      if (said !== null) lines.push(`  ${field}: ${printable(said, 500)}`);
    }
    for (const unit of planned.filter((one) => one.site === site)) {
      const path = unit.path.map(({ version }) => printable(version, 40)).join(', then ');
      lines.push(
        `  ${printable(unit.serial, 64)}: ${path === '' ? 'read the version' : path}, ${minutes(unit.minutes)}`,
        ...readFirstLines(unit.standing, dayOf),
      );
    }
  }
  if (noPath.length > 0) lines.push('', 'Nothing can be carried to these:');
  lines.push(...noPath.map(({ serial, why }) => `  ${printable(serial, 64)}: ${printable(why, 300)}`));
  if (cards.length > 0) lines.push('', 'Cards, one firmware file each:', ...cards.map(cardText));
  if (refused.length > 0) lines.push('');
  lines.push(
    ...refused.map(({ line, code, summary }) => `Line ${line} refused: ${printable(summary)} [${code}]`),
  );
  const missing = cards.filter(({ card }) => card === null).length;
  lines.push(
    '',
    cards.length === 0
      ? `${day}: no card is needed.`
      : `${day}: ${counted(planned.length, 'unit')}, ${counted(cards.length, 'card')}, ${missing} of them still to be prepared.`,
  );
  return lines
    .map((line) => wrap(line, terminal.columns, '      ', /^\s*/.exec(line)?.[0] ?? ''))
    .join('\n')
    .replace(/^\n+/, '');
}
