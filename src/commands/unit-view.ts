// One unit as the commands of the register show it, as fields and as a line. The audit has a view of its own.

import type { Routes } from '../fleet/routes.ts';
import { standingOf, type UnitStanding } from '../fleet/status.ts';
import { whyStanding } from '../fleet/why.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import type { UnitState } from '../record/unit-state.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';

interface Zone {
  offsetMinutes(atMs: number): number;
}

export function unitJson(unit: UnitState, routes: Routes, zone: Zone): Record<string, unknown> {
  const standing = standingOf(unit, routes);
  const { status, late, onWithdrawn, target, path, dueBy } = standing;
  const { lastOutcome } = unit;
  return {
    serial: unit.serial,
    site: unit.site,
    product: unit.product,
    hardware: unit.hardware,
    version: unit.version?.version ?? null,
    evidence: unit.version?.evidence ?? null,
    versionAt: unit.version === null ? null : formatLocalTime(unit.version.atMs, zone),
    status,
    late,
    onWithdrawn,
    left: unit.left,
    target: target === null ? null : `${target.product}@${target.version}`,
    path: path.map(({ version }) => version),
    dueBy,
    lastOutcome:
      lastOutcome === null
        ? null
        : {
            outcome: lastOutcome.kind,
            release: lastOutcome.release ?? null,
            evidence: lastOutcome.evidence,
            versionRead: lastOutcome.versionRead ?? null,
            left: lastOutcome.left ?? null,
            at: formatLocalTime(lastOutcome.atMs, zone),
            by: lastOutcome.by,
            entry: lastOutcome.entryId,
          },
    why: whyStanding(unit, standing, (atMs) => formatLocalDay(atMs, zone)),
    exempt: unit.exempt,
    retired: unit.retired,
    details: unit.details,
  };
}

/** `due: install 2.5.0, then 2.6.0 by 2026-12-15`. */
export function statusText({ status, path, dueBy, late }: UnitStanding): string {
  if (status === 'to-confirm') return 'to-confirm: read its version at the unit and log it';
  if (status === 'failed') return 'failed: see to the unit, then read its version and log it';
  if (status === 'exempt') return status;
  const steps = path.map(({ version }) => version).join(', then ');
  const work = steps === '' ? '' : `: install ${steps}`;
  const by = dueBy === null || status === 'current' ? '' : late ? ` (was due by ${dueBy})` : ` by ${dueBy}`;
  return `${status}${work}${steps === '' ? '' : by}`;
}

/** `4.1.0 (read)`, `4.1.0 (reported)`, `not known`. */
export function versionText({ version }: Pick<UnitRecord, 'version'>): string {
  return version === null ? 'not known' : `${printable(version.version)} (${version.evidence})`;
}
