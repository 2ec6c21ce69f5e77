// How well what was seen agrees with a pattern, and whether it could be that pattern at all, seen by a person
// who miscounts by two in ten seconds, overlooks one light, or takes one colour for another. The first ranks,
// the second forbids to be sure.

import type { Light, LightShow, Pattern } from '../manifest/schema.ts';
import type { SeenLight, Sighting } from './light-sighting.ts';
import { flashesIn, type LightTimeline, patternTimeline } from './light-timeline.ts';
import { displayKey, sameRound, steadyAbovePerMinute } from './tell-apart.ts';

export interface Weight {
  /** 0: just so. About 2 for one plain mistake; from 6 on something contradicts it. */
  readonly cost: number;
  /** A person who makes the mistakes above could say this of the pattern. */
  readonly possible: boolean;
  /** Not even those mistakes are needed, but for a miscount by one. */
  readonly plain: boolean;
}

/** A miscount in ten seconds that must be reckoned with. */
export const miscountInTen = 2;
/** Many flashes are miscounted by more: by so large a part of them. */
const miscountShare = 0.2;
/** From here on a quick flash may be taken for steady light. */
const mayLookSteadyAbove = 180;
/** And a slow one up to here, by somebody who looks for a moment. */
const mayLookSteadyUpTo = 12;

const cost = { notNamed: 1.5, overlooked: 3, otherColour: 2, contradicts: 8 } as const;

/** One light's share. `overlooked`: lit by the pattern, said to be off. */
interface Share {
  readonly cost: number;
  readonly possible: boolean;
  readonly plain: boolean;
  readonly overlooked?: boolean;
}

const agrees: Share = { cost: 0, possible: true, plain: true };
const contradicts: Share = { cost: cost.contradicts, possible: false, plain: false };

export function weighLights(sighting: Sighting, pattern: Pattern, lights: readonly Light[]): Weight {
  const { display } = pattern.shows;
  if (display !== undefined) return weighDisplay(display, sighting);
  const shares: Share[] = [];
  // A text where the pattern has lights: the manifest says nothing of the display then, but a text was seen.
  if (sighting.display !== undefined && sighting.display !== '') shares.push(contradicts);
  const timeline = patternTimeline(pattern.shows, lights);
  for (const light of timeline.lights) {
    const inRun = pattern.shows.sweep?.lights.includes(light.light) ?? false;
    const seen = sighting.lights.get(light.light);
    if (sighting.sweep.includes(light.light)) shares.push(inRun ? agrees : seenInRun(pattern, light));
    else if (seen === undefined) shares.push(notNamed(light));
    else if (seen.kind === 'off') shares.push(light.lit.length === 0 ? agrees : overlooked);
    else shares.push(inRun ? runSeenAlone(light, seen) : weighLight(showOf(pattern, light), light, seen));
  }
  if (sighting.sweep.length > 0 && pattern.shows.sweep !== undefined) {
    shares.push(weighRun(sighting.sweep, pattern.shows.sweep.lights));
  }
  const total = shares.reduce((sum, share) => sum + share.cost, 0);
  const missed = shares.filter((share) => share.overlooked).length;
  return {
    cost: total,
    possible: missed <= 1 && shares.every((share) => share.possible),
    plain: missed === 0 && shares.every((share) => share.plain),
  };
}

const overlooked: Share = { cost: cost.overlooked, possible: true, plain: false, overlooked: true };

function showOf(pattern: Pattern, light: LightTimeline): LightShow {
  return pattern.shows.lights[light.light] ?? { kind: 'off' };
}

/** Nobody looked: it may do anything, so it can never make anything sure; what needs fewer such lights ranks higher. */
function notNamed(light: LightTimeline): Share {
  return light.lit.length === 0 ? agrees : { cost: cost.notNamed, possible: true, plain: true };
}

/** Each light of a run seen by itself, as flashing: true enough, but the order was not seen. */
function runSeenAlone(light: LightTimeline, seen: SeenLight): Share {
  if (seen.kind === 'on')
    return { cost: 3, possible: 60_000 / light.roundMs > mayLookSteadyAbove, plain: false };
  if (seen.kind !== 'count') return { cost: 3, possible: true, plain: false };
  const counted = weighCount(light, seen.flashes, seen.seconds);
  return { cost: counted.cost + 1, possible: counted.possible, plain: false };
}

/** The pattern has no run there, but lights were seen to take turns: flashing ones may look like it. */
function seenInRun(pattern: Pattern, light: LightTimeline): Share {
  const show = showOf(pattern, light);
  if (show.kind === 'off' || show.kind === 'on') return contradicts;
  return { cost: 2, possible: true, plain: false };
}

function weighRun(seen: readonly string[], run: readonly string[]): Share {
  if (sameRound(seen, run)) return agrees;
  const missing = run.filter((id) => !seen.includes(id));
  // An order wrongly seen, or one light of the run overlooked: both happen.
  return { cost: 2 + cost.notNamed * missing.length, possible: missing.length <= 1, plain: false };
}

function weighLight(show: LightShow, light: LightTimeline, seen: Exclude<SeenLight, { kind: 'off' }>): Share {
  if (show.kind === 'off') return contradicts;
  const move = weighMove(show, light, seen);
  const [span] = light.lit;
  // What colour it was is a thing that people get wrong, some always: it ranks, but it makes nothing sure.
  if (seen.colour === undefined || span === undefined || seen.colour === span.colour) return move;
  return { cost: move.cost + cost.otherColour, possible: move.possible, plain: false };
}

function weighMove(
  show: Exclude<LightShow, { kind: 'off' }>,
  light: LightTimeline,
  seen: Exclude<SeenLight, { kind: 'off' }>,
): Share {
  switch (seen.kind) {
    case 'on': {
      if (show.kind === 'on') return agrees;
      if (show.kind === 'burst') return contradicts;
      if (show.perMinute > steadyAbovePerMinute) return agrees;
      return show.perMinute > mayLookSteadyAbove || show.perMinute <= mayLookSteadyUpTo
        ? { cost: 3, possible: true, plain: false }
        : contradicts;
    }
    case 'count': {
      // A steady light that somebody counts as a very quick flicker.
      if (show.kind === 'on') {
        const quick = (60 * seen.flashes) / seen.seconds > mayLookSteadyAbove;
        return quick ? { cost: 3, possible: true, plain: false } : contradicts;
      }
      const flashes = weighCount(light, seen.flashes, seen.seconds);
      if (show.kind !== 'burst' || show.burst === 1) return flashes;
      // Some count the groups.
      const groups = (seen.seconds * 1000) / light.roundMs;
      const off = Math.max(0, Math.abs(seen.flashes - groups) - 1);
      if (flashes.possible || off > 1) return flashes;
      return { cost: Math.min(flashes.cost, 2 + off), possible: true, plain: false };
    }
    case 'groups': {
      if (show.kind === 'on') return contradicts;
      const inGroup = show.kind === 'burst' ? show.burst : 1;
      const off = Math.abs(seen.flashes - inGroup);
      if (show.kind === 'flash' && off > 0) return contradicts;
      if (off === 0) return agrees;
      return off === 1 ? { cost: 2, possible: true, plain: false } : contradicts;
    }
  }
}

function weighCount(light: LightTimeline, flashes: number, seconds: number): Share {
  const { fewest, most } = flashesIn(light, seconds);
  const middle = (fewest + most) / 2;
  // Per ten seconds: whoever counts longer has more time to miscount, but counts more too.
  const tens = Math.max(1, seconds / 10);
  const beyond = Math.max(0, fewest - flashes, flashes - most) / tens;
  const off = Math.max(0, Math.abs(flashes - middle) / tens - 0.5);
  return {
    cost: Math.min(cost.contradicts, (off * off) / 2),
    possible: beyond <= Math.max(miscountInTen, (miscountShare * middle) / tens),
    plain: beyond <= 1,
  };
}

function weighDisplay(display: string, sighting: Sighting): Weight {
  // Nobody looked at the display, and the manifest says nothing of the lights then: it may well be.
  if (sighting.display === undefined) {
    const lit =
      sighting.sweep.length + [...sighting.lights.values()].filter(({ kind }) => kind !== 'off').length;
    return { cost: 3 + lit, possible: true, plain: false };
  }
  if (sighting.display.trim().toLowerCase() === display.trim().toLowerCase()) return agrees;
  const far = distance(displayKey(sighting.display), displayKey(display));
  if (far === 0) return { cost: 0.5, possible: true, plain: true };
  return far === 1
    ? { cost: 2, possible: true, plain: false }
    : { ...contradicts, cost: cost.contradicts + far };
}

/** Letters to add, leave out or change; both texts are short. */
function distance(a: string, b: string): number {
  const [left, right] = [a.slice(0, 100), b.slice(0, 100)];
  let row = Array.from({ length: right.length + 1 }, (_, i) => i);
  for (let i = 1; i <= left.length; i += 1) {
    const next = [i];
    for (let j = 1; j <= right.length; j += 1) {
      const change = row[j - 1]! + (left[i - 1] === right[j - 1] ? 0 : 1);
      next.push(Math.min(change, row[j]! + 1, next[j - 1]! + 1));
    }
    row = next;
  }
  return row[right.length]!;
}
