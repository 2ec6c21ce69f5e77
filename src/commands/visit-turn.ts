// A unit's place among those of its site that are done today, where the manifest marks steps `oncePerSite`: whether they
// were done at another unit already, as the record of this laptop knows it, and whether another one follows. What the
// record cannot know is seen at the unit: the walk asks how everything stands before it begins.

import type { Product } from '../manifest/schema.ts';
import { openerOf } from '../procedure/open-site.ts';
import { aloneOnSite, endsTheSite, hasSharedSteps, type SiteTurn } from '../procedure/site-turn.ts';
import { type KnownEntry, knownEntry } from '../record/entry.ts';
import type { UnitState } from '../record/unit-state.ts';
import type { Finding } from '../words/finding.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { unitsOfSite } from './units-of-site.ts';

type Entries<K extends KnownEntry['kind']> = Extract<KnownEntry, { kind: K }>;

/** What was done for the site today. */
export interface SiteToday {
  /** The steps that come before the first unit are done, and none of those after the last. */
  readonly openedBy: Entries<'step-done'> | undefined;
  /** A walk today came to an end after which no other unit is begun. */
  readonly endedAt: Entries<'visit-ended'> | undefined;
}

export async function siteToday(context: Context, product: Product, unit: UnitState): Promise<SiteToday> {
  const nothing: SiteToday = { openedBy: undefined, endedAt: undefined };
  const store = await context.record('read');
  if (store === undefined || unit.site === null || !hasSharedSteps(product)) return nothing;
  const { clock } = context;
  const others = await unitsOfSite(context, product, unit.site);
  const serials = new Set(others.map(({ serial }) => serial));
  const finals = new Set(product.procedure.filter((step) => endsTheSite(product, step)).map(({ id }) => id));
  const claimedFromMs = clock.startOfLocalDay(formatLocalDay(clock.now(), clock));
  const done: { step: string; entry: Entries<'step-done'> }[] = [];
  for await (const entry of store.entries({ kind: 'step-done', claimedFromMs })) {
    const known = knownEntry(entry);
    if (known?.kind !== 'step-done' || known.body.part !== 'procedure') continue;
    if (serials.has(known.body.serial)) done.push({ step: known.body.step, entry: known });
  }
  let today: SiteToday = { ...nothing, openedBy: openerOf(product, done)?.entry };
  for await (const entry of store.entries({ kind: 'visit-ended', claimedFromMs })) {
    const known = knownEntry(entry);
    if (known?.kind !== 'visit-ended' || !serials.has(known.body.serial)) continue;
    const isFinal = known.body.step !== undefined && finals.has(known.body.step);
    // What was done at that unit since says more of it than how it was left then.
    if (known.body.serial !== unit.serial) today = { ...today, endedAt: isFinal ? known : undefined };
  }
  return today;
}

export function siteEndedFinding({ endedAt }: SiteToday, { clock }: Context): Finding[] {
  if (endedAt === undefined) return [];
  const { serial, step } = endedAt.body;
  return [
    {
      code: 'site-ended',
      severity: 'stop',
      summary: 'A visit today came to an end after which no other unit of this site is begun.',
      seen: `${printable(serial, 40)}, \`${printable(step ?? '', 40)}\` at ${formatLocalTime(endedAt.claimedMs, clock).slice(11, 16)}`,
      where: printable(serial, 40),
      next: 'Ask the helpline or the service lead how the site may stand, and see to that unit first.',
    },
  ];
}

/** `--more-units`: another unit follows; asked for at a terminal. `--site-opened`: somebody else has begun the site. */
export async function requireTurn(
  context: Context,
  product: Product,
  { openedBy }: SiteToday,
  options: OptionValues,
): Promise<SiteTurn> {
  if (!hasSharedSteps(product)) return aloneOnSite;
  const first = openedBy === undefined && options.siteOpened !== true;
  if (openedBy !== undefined) {
    const { body, claimedMs, doneBy } = openedBy;
    context.terminal.notice(
      `What is done once for this site was done at ${printable(body.serial, 40)} at ${formatLocalTime(claimedMs, context.clock).slice(11, 16)} by ${printable(doneBy, 80)}. It is not asked for again.`,
    );
  }
  if (options.moreUnits === true) return { first, last: false };
  if (options.answers !== undefined || !context.terminal.interactive) return { first, last: true };
  const more = await context.terminal.confirm(
    'Will another unit be done at this site today, after this one?',
    '--more-units',
  );
  return { first, last: !more };
}
