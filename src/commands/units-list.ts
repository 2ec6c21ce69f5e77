// `units list`: the register, a line a unit, with each unit's status of today.

import { routesOn } from '../fleet/routes.ts';
import { standingOf } from '../fleet/status.ts';
import type { UnitFilter } from '../ports/record-store.ts';
import { counted } from '../words/counted.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { siteToLookAt } from './site-meant.ts';
import { unitJson, versionText } from './unit-view.ts';

export async function run(
  context: Context,
  _positionals: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { clock } = context;
  const place = typeof options.site === 'string' ? await siteToLookAt(context, options.site) : undefined;
  const filter: UnitFilter = {
    ...(typeof options.product === 'string' ? { product: options.product } : {}),
    ...(place === undefined ? {} : { site: place.site }),
    retired: options.retired === true ? 'with' : 'without',
  };
  const store = await context.record('read');
  const routes = routesOn(await context.catalogue(), formatLocalDay(clock.now(), clock));
  const units: Record<string, unknown>[] = [];
  const cells: string[][] = [['SERIAL', 'SITE', 'PRODUCT', 'REV', 'VERSION', 'STATUS']];
  for await (const unit of store?.units(filter) ?? []) {
    units.push(unitJson(unit, routes, clock));
    cells.push([
      printable(unit.serial),
      printable(unit.site ?? '', 30),
      printable(unit.product, 30),
      printable(unit.hardware ?? '?', 8),
      versionText(unit),
      unit.retired ? 'retired' : standingOf(unit, routes).status,
    ]);
  }
  const count = `${counted(units.length, 'unit')}.`;
  const [near] = place?.near ?? [];
  const hint = near === undefined ? '' : ` Did you mean the site ${printable(near, 120)}?`;
  const text =
    units.length === 0
      ? `No unit is registered that fits.${hint}`
      : `${listed(cells, context.terminal.columns)}\n${count}`;
  return { exit: 0, json: { units }, text };
}

/** A line a unit where the window is wide enough for it, else two. */
function listed(rows: readonly (readonly string[])[], columns: number): string {
  const table = inColumns(rows);
  if (table.split('\n').every((line) => [...line].length <= columns)) return table;
  return rows
    .slice(1)
    .map(
      ([serial, site, product, revision, version, status]) =>
        `${serial}  ${site}\n  ${product} ${revision}, ${version}: ${status}`,
    )
    .join('\n');
}

function inColumns(rows: readonly (readonly string[])[]): string {
  const widths: number[] = [];
  for (const row of rows) {
    row.forEach((cell, at) => {
      widths[at] = Math.max(widths[at] ?? 0, [...cell].length);
    });
  }
  const pad = (cell: string, at: number) => cell + ' '.repeat(widths[at]! - [...cell].length);
  return rows.map((row) => row.map(pad).join('  ').trimEnd()).join('\n');
}
