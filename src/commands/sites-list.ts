// `sites list`: every site with its units, and how many of them stand how today. A line a site.

import { routesOn } from '../fleet/routes.ts';
import { standingOf, type UnitStatus, unitStatuses } from '../fleet/status.ts';
import { counted } from '../words/counted.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';

export type StatusCounts = Record<UnitStatus, number>;

interface SiteCounts {
  units: number;
  counts: StatusCounts;
  /** Past their due date, whatever their status. */
  late: number;
}

export async function run(
  context: Context,
  _positionals: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { clock } = context;
  const store = await context.record('read');
  const routes = routesOn(await context.catalogue(), formatLocalDay(clock.now(), clock));
  const filter = typeof options.product === 'string' ? { product: options.product } : {};
  const sites = new Map<string | null, SiteCounts>();
  let units = 0;
  for await (const unit of store?.units(filter) ?? []) {
    units++;
    const { status, late } = standingOf(unit, routes);
    const site = sites.get(unit.site) ?? { units: 0, counts: noStatus(), late: 0 };
    site.units += 1;
    site.counts[status] += 1;
    if (late) site.late += 1;
    sites.set(unit.site, site);
  }
  const sorted = [...sites].sort(([a], [b]) => ((a ?? '') < (b ?? '') ? -1 : 1));
  const lines = sorted.map(
    ([site, said]) =>
      `${printable(site ?? 'no site', 120)}: ${counted(said.units, 'unit')}, ${countsText(said.counts)}`,
  );
  const named = sorted.filter(([site]) => site !== null).length;
  return {
    exit: 0,
    json: { sites: sorted.map(([site, said]) => ({ site, ...said })) },
    text:
      units === 0
        ? 'No unit is registered that fits.'
        : [...lines, `${counted(named, 'site')}, ${counted(units, 'unit')}.`].join('\n'),
  };
}

export function noStatus(): StatusCounts {
  return Object.fromEntries(unitStatuses.map((status) => [status, 0])) as StatusCounts;
}

/** `2 overdue, 1 due, 4 current`: what needs somebody first. */
export function countsText(counts: StatusCounts): string {
  const order: readonly UnitStatus[] = [
    'overdue',
    'failed',
    'due',
    'no-path',
    'to-confirm',
    'unknown',
    'exempt',
    'current',
  ];
  return order
    .filter((status) => counts[status] > 0)
    .map((status) => `${counts[status]} ${status}`)
    .join(', ');
}
