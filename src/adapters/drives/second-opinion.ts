// What drivelist sees of the same drives. It knows neither file systems nor built-in card slots, so it only ever adds
// doubt: a drive that it calls a system disk or write-protected counts as such, whatever the system's own tools say.

import type { DriveTable } from '../../ports/drives.ts';
import { flag, list, records, text } from './said.ts';

/** `seen`: what `drivelist.list()` gave; believed in nothing but these three fields. */
export function withSecondOpinion(table: DriveTable, seen: unknown): DriveTable {
  const byDevice = new Map(records(list(seen)).map((one) => [text(one.device)?.toLowerCase(), one]));
  return {
    drives: table.drives.map((drive) => {
      const other = byDevice.get(drive.device.toLowerCase());
      if (other === undefined) return drive;
      return {
        ...drive,
        isSystem: drive.isSystem || flag(other.isSystem) === true,
        readOnly: drive.readOnly || flag(other.isReadOnly) === true,
      };
    }),
  };
}
