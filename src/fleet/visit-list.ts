// A list of visits as a table brings it: a `site` or a `serial` a line, with an optional `date` and `minutes`
// (how long somebody can be there). Turns each line into the units that are meant; a line that names none is
// told with its number. What is to be done there, or was done, is for others.

import { isCalendarDate } from '../manifest/calendar-date.ts';
import type { Product } from '../manifest/schema.ts';
import type { UnitState } from '../record/unit-state.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';
import type { CsvTable, RowFault } from './csv-table.ts';
import { byCodePoints, nearSerialsAmong } from './near-serials.ts';
import { readSerial } from './serial.ts';

export const visitFields = ['site', 'serial', 'date', 'minutes'] as const;

export interface Visit {
  readonly line: number;
  /** What the line named: one unit, or all that stand at a site. */
  readonly named: 'serial' | 'site';
  readonly units: readonly UnitState[];
  /** Local day; null where the line says none. */
  readonly date: string | null;
  readonly minutes: number | null;
}

export interface VisitList {
  readonly visits: readonly Visit[];
  readonly refused: readonly RowFault[];
}

/** `units` in service; `products` for the form of serials. */
export function readVisits(
  table: CsvTable,
  units: readonly UnitState[],
  products: Iterable<Product>,
): VisitList {
  const known = [...products];
  const bySerial = new Map(units.map((unit) => [unit.serial, unit]));
  const bySite = new Map<string, UnitState[]>();
  for (const unit of units) {
    if (unit.site === null) continue;
    const key = siteKey(unit.site);
    const there = bySite.get(key);
    if (there === undefined) bySite.set(key, [unit]);
    else there.push(unit);
  }

  let inOrder: string[] | undefined;
  const serialsInOrder = () => {
    inOrder ??= [...bySerial.keys()].sort(byCodePoints);
    return inOrder;
  };
  const visits: Visit[] = [];
  const refused: RowFault[] = [...table.faults];
  for (const { line, fields } of table.rows) {
    const { site = '', serial = '', date = '', minutes = '' } = fields;
    const refuse = (code: string, summary: string) => refused.push({ line, code, summary });
    if (date !== '' && !isCalendarDate(date)) {
      refuse('date-form', `"${printable(date, 40)}" is no date as YYYY-MM-DD`);
    } else if (minutes !== '' && !/^[0-9]{1,5}(?:[.,][0-9]{1,3})?$/.test(minutes)) {
      refuse('minutes-form', `"${printable(minutes, 40)}" is no number of minutes`);
    } else if (serial !== '') {
      const unit = findUnit(serial, bySerial, known);
      if (unit === undefined) refuse('unit-unknown', unknownUnit(serial, serialsInOrder()));
      else visits.push(visitOf(line, 'serial', [unit], date, minutes));
    } else if (site !== '') {
      const there = bySite.get(siteKey(site));
      if (there === undefined) refuse('site-unknown', unknownSite(site, units));
      else visits.push(visitOf(line, 'site', there, date, minutes));
    } else refuse('visit-empty', 'The line names neither a site nor a serial');
  }
  return { visits, refused: refused.sort((a, b) => a.line - b.line) };
}

function visitOf(
  line: number,
  named: Visit['named'],
  units: readonly UnitState[],
  date: string,
  minutes: string,
): Visit {
  return {
    line,
    named,
    units,
    date: date === '' ? null : date,
    minutes: minutes === '' ? null : Math.floor(Number(minutes.replace(',', '.'))),
  };
}

function findUnit(
  serial: string,
  bySerial: ReadonlyMap<string, UnitState>,
  products: readonly Product[],
): UnitState | undefined {
  const exact = bySerial.get(serial);
  if (exact !== undefined) return exact;
  const reading = readSerial(serial, products);
  return reading.ok ? bySerial.get(reading.serial) : undefined;
}

function unknownUnit(serial: string, inOrder: readonly string[]): string {
  const near = nearSerialsAmong(serial, inOrder, 1)[0];
  const hint = near === undefined ? '' : `; did you mean ${printable(near, 80)}?`;
  return `No unit ${printable(serial, 80)} is registered${hint}`;
}

/** Names of sites as people type them: capitals and blanks do not matter. */
export function siteKey(site: string): string {
  return site.normalize('NFC').trim().replace(/\s+/g, ' ').toLowerCase();
}

function unknownSite(site: string, units: readonly UnitState[]): string {
  const near = nearNames(site, new Set(units.flatMap((unit) => unit.site ?? [])), 1)[0];
  const hint = near === undefined ? '' : `; did you mean ${printable(near, 80)}?`;
  return `No unit is registered at ${printable(site, 80)}${hint}`;
}
