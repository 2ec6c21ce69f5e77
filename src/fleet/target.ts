// Which releases count on a given day, which of them a unit's hardware may have, and which one is the target.
// Days are compared as text, `2026-10-01`, local to whoever asks. Knows no unit and no path.

import type { Release } from '../manifest/schema.ts';

/** A release counts from the day on which it was issued. */
export function isIssued(release: Release, day: string): boolean {
  return release.issued <= day;
}

/** Withdrawn on that day already. Holds whether or not the release says that it was issued by then. */
export function isWithdrawn(release: Release, day: string): boolean {
  return release.withdrawn !== undefined && release.withdrawn.on <= day;
}

export function isAllowedOn(release: Release, hardware: string): boolean {
  return release.hardware.includes(hardware);
}

/**
 * What the maker offers on that day for these hardware revisions, highest sequence first. With several
 * revisions (the unit's own is not known): `every` asks for releases that each of them may have, `any` for
 * those that one of them may have.
 */
export function offeredReleases(
  releases: readonly Release[],
  hardware: readonly string[],
  day: string,
  quantity: 'every' | 'any' = 'every',
): Release[] {
  return releases
    .filter((release) => isIssued(release, day) && !isWithdrawn(release, day))
    .filter((release) =>
      hardware[quantity === 'every' ? 'every' : 'some']((one) => isAllowedOn(release, one)),
    )
    .sort(byFallingSequence);
}

export function byFallingSequence(a: Release, b: Release): number {
  return b.sequence - a.sequence;
}
