// Was this unit updated without anybody of ours reading its version since? Then what the record calls its version is what
// it had before, and the sheet may be the wrong one: a warning, never a stop, since its own first steps have the version
// read. Looks at nothing else.

import type { Routes } from '../fleet/routes.ts';
import { howUpdated, unreadUpdate } from '../fleet/unread-update.ts';
import type { DayOf } from '../fleet/why.ts';
import type { UnitState } from '../record/unit-state.ts';
import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';

export function checkUnreadUpdate(unit: UnitState, routes: Routes, dayOf: DayOf): Finding[] {
  const unread = unreadUpdate(unit, routes);
  if (unread === null) return [];
  const { outcome, version, withdrawn } = unread;
  const gone = withdrawn === null ? '' : ', a release that is withdrawn now';
  return [
    {
      code: 'update-not-read',
      severity: 'warn',
      summary: `${unit.serial} was updated to ${printable(version, 40)}${gone}, and its version was not read since.`,
      seen: `updated on ${dayOf(outcome.atMs)}, ${howUpdated(outcome)}`,
      expected:
        unit.version === null
          ? 'a version read since'
          : `${printable(unit.version.version, 40)} or ${printable(version, 40)}`,
      where: unit.serial,
      next: 'Read its version before anything else. Where it is not what this sheet is for, change nothing and ask the service lead.',
    },
  ];
}
