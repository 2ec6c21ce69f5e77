// The shortest chain of releases from a unit's version to its target, each of whose `from` admits the version
// before; a release never follows its own version. Among equally short chains the one with the higher sequence
// at the first difference wins. Worked out backwards from the target once, then for any number of versions.

import type { Release, VersionScheme } from '../manifest/schema.ts';
import { admits, sameVersion } from '../manifest/versions.ts';

export interface PathsToTarget {
  /** The releases to install, the target last; undefined where no chain leads there. */
  from(version: string): Release[] | undefined;
}

/** `offered`: the releases that the hardware may have and that are not withdrawn; the target is one of them. */
export function pathsTo(target: Release, offered: readonly Release[], scheme: VersionScheme): PathsToTarget {
  const follows = (release: Release, version: string) =>
    !sameVersion(scheme, release.version, version) && admits(scheme, release.from, version);
  const falling = [...offered].sort((a, b) => b.sequence - a.sequence);
  const stepsLeft = countSteps(target, falling, follows);

  /** Of the releases with so many steps left (itself counted) that may follow `version`, the highest. */
  const next = (version: string, steps: number) =>
    falling.find((release) => stepsLeft.get(release) === steps && follows(release, version));

  return {
    from(version) {
      let first: Release | undefined;
      const longest = Math.max(...stepsLeft.values());
      for (let steps = 1; steps <= longest && first === undefined; steps++) first = next(version, steps);
      if (first === undefined) return undefined;
      // Whatever is taken with one step less leads to the target as fast, so the highest at each step wins.
      const path = [first];
      for (let steps = stepsLeft.get(first)! - 1; steps >= 1; steps--)
        path.push(next(path.at(-1)!.version, steps)!);
      return path;
    },
  };
}

/** How many releases have to be installed from each one on, itself counted, until the target is on. */
function countSteps(
  target: Release,
  offered: readonly Release[],
  follows: (release: Release, version: string) => boolean,
): Map<Release, number> {
  const stepsLeft = new Map([[target, 1]]);
  let reached: Release[] = [target];
  for (let steps = 2; reached.length > 0; steps++) {
    const before = offered.filter(
      (release) => !stepsLeft.has(release) && reached.some((after) => follows(after, release.version)),
    );
    for (const release of before) stepsLeft.set(release, steps);
    reached = before;
  }
  return stepsLeft;
}
