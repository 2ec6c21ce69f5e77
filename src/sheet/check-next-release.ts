// May this unit have this release now? Its hardware must be allowed and the release must be the next one on its
// path. Where something is not known (revision, version) the sheet's own first steps settle it on site, so that
// is a warning; where something is known to be wrong it is a stop. Looks at no card and asks no person.

import type { Routes } from '../fleet/routes.ts';
import { isExempt, standingOf } from '../fleet/status.ts';
import { isAllowedOn } from '../fleet/target.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { Release } from '../manifest/schema.ts';
import type { UnitState } from '../record/unit-state.ts';
import type { Finding } from '../words/finding.ts';

export function checkNextRelease(unit: UnitState, release: Release, routes: Routes): Finding[] {
  const { serial } = unit;
  const id = releaseKey(release);
  if (unit.hardware !== null && !isAllowedOn(release, unit.hardware)) {
    return [
      {
        code: 'hardware-not-allowed',
        severity: 'stop',
        summary: `${serial} may not have ${id}: it is not for this hardware revision.`,
        seen: `revision ${unit.hardware}`,
        expected: release.hardware.join(', '),
        where: serial,
        next: `Leave ${serial} out. See what it may have: slotproof units show ${serial}`,
      },
    ];
  }
  const findings: Finding[] = [];
  if (unit.hardware === null) {
    findings.push({
      code: 'hardware-not-known',
      severity: 'warn',
      summary: `The hardware revision of ${serial} is not known.`,
      expected: release.hardware.join(', '),
      where: serial,
      next: 'Read it from the plate before anything else; the first step asks for it.',
    });
  }
  if (isExempt(unit, routes.day)) {
    findings.push({
      code: 'unit-exempt',
      severity: 'warn',
      summary: `${serial} is exempt from updates.`,
      seen: unit.exempt?.why ?? '',
      where: serial,
      next: 'Ask the service lead whether it is to be done all the same.',
    });
  }
  return [...findings, ...checkVersion(unit, release, routes)];
}

function checkVersion(unit: UnitState, release: Release, routes: Routes): Finding[] {
  const { serial } = unit;
  const id = releaseKey(release);
  const known = unit.version;
  if (known === null) {
    return [
      {
        code: 'version-not-known',
        severity: 'warn',
        summary: `The version on ${serial} is not known, so neither is whether ${id} is its next one.`,
        where: serial,
        next: 'Read it on site before anything else; the second step says which versions are right.',
      },
    ];
  }
  const seen = `${known.version}, ${known.evidence}`;
  // Where the revision is not known, the release is right if it is the next one for any revision it is for.
  const standings = (unit.hardware === null ? release.hardware : [unit.hardware]).map((hardware) =>
    standingOf({ ...unit, hardware }, routes),
  );
  const next = (path: readonly Release[]) => (path[0] === undefined ? undefined : releaseKey(path[0]));
  if (standings.some(({ path }) => next(path) === id)) return [];
  const path = standings.map((standing) => standing.path).find(({ length }) => length > 0);
  if (path === undefined) return [nothingToInstall(unit, release, routes, seen)];
  const first = releaseKey(path[0] as Release);
  const isLater = path.some((step) => releaseKey(step) === id);
  return [
    {
      code: isLater ? 'stepping-stone-first' : 'not-next',
      severity: 'stop',
      summary: isLater
        ? `${serial} needs ${first} before ${id}.`
        : `${id} is not on the way of ${serial}; its next release is ${first}.`,
      seen,
      expected: path.map(releaseKey).join(', then '),
      where: serial,
      next: `Make its sheet first: slotproof sheet ${first} --unit ${serial}`,
    },
  ];
}

function nothingToInstall(unit: UnitState, release: Release, routes: Routes, seen: string): Finding {
  const { serial, product, version } = unit;
  const id = releaseKey(release);
  const isEnough = version !== null && routes.compare(product, version.version, release.version) >= 0;
  if (!isEnough) {
    return {
      code: 'no-path',
      severity: 'stop',
      summary: `No way leads from the version on ${serial} to ${id}.`,
      seen,
      expected: `a version that ${id} may follow`,
      where: serial,
      next: `Leave ${serial} out. See what it may have: slotproof units show ${serial}`,
    };
  }
  if (version.evidence === 'read') {
    return {
      code: 'already-current',
      severity: 'stop',
      summary: `${serial} has ${id} or a later version already.`,
      seen,
      where: serial,
      next: `Leave ${serial} out.`,
    };
  }
  return {
    code: 'already-current',
    severity: 'warn',
    summary: `${serial} is said to have ${id} or a later version already; nobody of ours has read it.`,
    seen,
    where: serial,
    next: 'Read the version on site first; if it is so, log it as already-current.',
  };
}
