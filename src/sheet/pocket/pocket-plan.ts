// What a walk on the phone is planned with: the page's own procedure and release, and one unit. Whether a version may
// be followed by this release is judged by the release alone: what came to the laptop since is not known on site.

import { admits, sameVersion } from '../../manifest/versions.ts';
import { aloneOnSite, productAtTurn, type SiteTurn } from '../../procedure/site-turn.ts';
import { stepGraphOf } from '../../procedure/step-graph.ts';
import { successorsOf } from '../../procedure/successors.ts';
import type { VersionJudgement, WalkPlan } from '../../procedure/walk/walk.ts';
import { cautionLines } from '../cautions.ts';
import type { SheetLanguage } from '../language.ts';
import type { PocketData } from './pocket-data.ts';

export interface PocketUnit {
  /** From 1. */
  readonly row: number;
  readonly serial: string;
}

/** `turn`: this unit's place among those of its site, where steps are done once for all of them. */
export function pocketPlan(
  data: PocketData,
  words: SheetLanguage,
  unit: PocketUnit,
  turn: SiteTurn = aloneOnSite,
): WalkPlan {
  const { release, view } = data;
  const product = productAtTurn(data.product, turn);
  return {
    product,
    release,
    successors: successorsOf(stepGraphOf(product)),
    serial: unit.serial,
    hardware: view.units[unit.row - 1]?.hardware ?? null,
    cautions: cautionLines(view.cautions, words).length,
    judgeVersion(version): VersionJudgement {
      const scheme = product.versions;
      if (sameVersion(scheme, version, release.version)) return { kind: 'same' };
      if (admits(scheme, release.from, version)) return { kind: 'next' };
      const { from } = release;
      const { steps } = words;
      const why =
        from.kind === 'list'
          ? steps.fromList(from.versions)
          : from.kind === 'range'
            ? steps.fromRange(from.atLeast ?? null, from.below ?? null)
            : steps.fromAny;
      return { kind: 'not-next', why };
    },
  };
}
