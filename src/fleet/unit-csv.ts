// The register as a table that `units import` takes back unchanged: the same columns, the version that counts with the time
// from which it is known, cells that no spreadsheet takes for a formula.

import type { UnitRecord } from '../record/unit-record.ts';
import { formatLocalTime } from '../words/local-time.ts';
import { detailFields } from './unit-claim.ts';

interface Zone {
  offsetMinutes(atMs: number): number;
}

export const unitColumns = [
  'serial',
  'site',
  'product',
  'hardware',
  'version',
  'versionReadOn',
  ...detailFields,
] as const;

/** What a spreadsheet would work out instead of showing it. */
const formula = /^'*[=+\-@\uff1d\uff0b\uff0d\uff20]/;

/** Takes the mark off again that `unitCell` puts before what looks like a formula. */
export function plainCell(cell: string): string {
  return cell.startsWith("'") && formula.test(cell) ? cell.slice(1) : cell;
}

export function unitCell(text: string): string {
  const safe = formula.test(text) ? `'${text}` : text;
  return /[",;\r\n\t]|^\s|\s$/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** A day alone where the version is known from its first moment on; else to the millisecond, with the offset. */
function readOn({ version }: UnitRecord, zone: Zone): string {
  if (version === null || !version.dated) return '';
  const iso = formatLocalTime(version.atMs, zone);
  return iso.slice(11, 23) === '00:00:00.000' ? iso.slice(0, 10) : iso;
}

export function unitCsvLine(unit: UnitRecord, zone: Zone): string {
  const { serial, site, product, hardware, version, details } = unit;
  const cells = [
    serial,
    site ?? '',
    product,
    hardware ?? '',
    version?.version ?? '',
    readOn(unit, zone),
    ...detailFields.map((field) => details[field] ?? ''),
  ];
  return `${cells.map(unitCell).join(',')}\r\n`;
}
