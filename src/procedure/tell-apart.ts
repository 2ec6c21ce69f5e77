// Whether a person can tell two patterns apart, within how many seconds, and by what. Two rates of one light
// count as the same below a factor of 1.5, a flash above 240 a minute as steady light. Says nothing of what
// follows from a pair that looks alike: `patterns-alike.ts` does.

import type { Light, LightShow, Shows, Sweep } from '../manifest/schema.ts';
import { secondsText, showText } from './light-text.ts';
import { burstFlashMs, burstRoundMs } from './light-timeline.ts';

export const sameRateBelow = 1.5;
export const steadyAbovePerMinute = 240;
/** Groups of up to so many flashes are counted without a mistake; larger ones need the factor of 1.5. */
const countedExactly = 6;
/** A run of lights quicker than this shows no direction. */
const directionFromSeconds = 0.1;
/** Long enough to look at every light once. */
const lookSeconds = 2;
/** Names that people use for one another's light. */
const nearColours = [['yellow', 'amber', 'orange']];
/** To be sure of a rate the counts should lie this far apart: one miscount each must not close the gap. */
const clearCount = 3;

export interface Difference {
  readonly seconds: number;
  /** Where to look and what for: `HALT: off, or flashes, about 17 in ten seconds`. */
  readonly by: string;
  /** The light that tells, where one does. */
  readonly light?: string;
  /** A colour-deficient person may not see it. */
  readonly colourOnly: boolean;
}

/** What a person sees of one light. `round`: how long until all of it was seen once. */
type Sight =
  | { readonly kind: 'off' }
  | { readonly kind: 'steady'; readonly colour: string }
  | { readonly kind: 'flash'; readonly perMinute: number; readonly colour: string }
  | {
      readonly kind: 'groups';
      readonly count: number;
      readonly pause: number;
      readonly round: number;
      readonly colour: string;
    }
  | { readonly kind: 'run'; readonly round: number; readonly colour: string };

/** The quickest way to tell them apart, colour last; undefined: a person cannot. */
export function tellApart(a: Shows, b: Shows, lights: readonly Light[]): Difference | undefined {
  if (a.display !== undefined || b.display !== undefined) return displaysApart(a.display, b.display);
  const differences = lights.flatMap((light): Difference[] => {
    const difference = lightsApart(sightOf(a, light), sightOf(b, light));
    if (difference === undefined) return [];
    const by = `${light.label}: ${wordsFor(a, light)}, or ${wordsFor(b, light)}`;
    return [{ ...difference, by, light: light.id }];
  });
  const [runA, runB] = [visibleRun(a.sweep), visibleRun(b.sweep)];
  const runs = runA !== undefined && runB !== undefined ? runsApart(runA, runB, lights) : undefined;
  if (runs !== undefined) differences.push(runs);
  differences.sort((x, y) => Number(x.colourOnly) - Number(y.colourOnly) || x.seconds - y.seconds);
  return differences[0];
}

const lookAlike: Record<string, string> = { o: '0', i: '1', l: '1', s: '5', b: '8', z: '2', g: '6' };

/** A text as it can be read on a display of few segments: case, blanks and look-alike letters do not tell. */
export function displayKey(text: string): string {
  return text
    .toLowerCase()
    .replace(/\s+/g, '')
    .replace(/[oilsbzg]/g, (letter) => lookAlike[letter] ?? letter);
}

function displaysApart(a: string | undefined, b: string | undefined): Difference | undefined {
  if (a !== undefined && b !== undefined && displayKey(a) === displayKey(b)) return undefined;
  const words = [a, b].map((text) => (text === undefined ? 'no such text' : `"${text}"`));
  return { seconds: lookSeconds, by: `the display: ${words.join(', or ')}`, colourOnly: false };
}

/** The shortest list that, repeated, gives the same run; undefined: too quick, or one light alone. */
function visibleRun(sweep: Sweep | undefined): Sweep | undefined {
  if (sweep === undefined) return undefined;
  const { lights, stepSeconds } = sweep;
  let length = 1;
  while (
    length < lights.length &&
    !(lights.length % length === 0 && lights.every((id, i) => id === lights[i % length]))
  )
    length += 1;
  const round = lights.slice(0, length);
  if (new Set(round).size < 2 || 60 / (length * stepSeconds) > steadyAbovePerMinute) return undefined;
  return { lights: round, stepSeconds };
}

function sightOf(shows: Shows, light: Light): Sight {
  const [colour = ''] = light.colours;
  if (shows.sweep?.lights.includes(light.id)) {
    const run = visibleRun(shows.sweep);
    if (run === undefined) return { kind: 'steady', colour };
    return { kind: 'run', round: run.lights.length * run.stepSeconds, colour };
  }
  const show: LightShow = shows.lights[light.id] ?? { kind: 'off' };
  if (show.kind === 'off') return { kind: 'off' };
  const own = show.colour ?? colour;
  if (show.kind === 'on') return { kind: 'steady', colour: own };
  if (show.kind === 'flash') return { kind: 'flash', perMinute: show.perMinute, colour: own };
  const flash = burstFlashMs / 1000;
  const round = burstRoundMs(show.burst, show.pauseSeconds) / 1000;
  // Groups of one are plain flashes; so are groups whose pause is hardly longer than the dark within.
  if (show.burst === 1) return { kind: 'flash', perMinute: 60 / round, colour: own };
  if (show.pauseSeconds < flash * sameRateBelow) return { kind: 'flash', perMinute: 30 / flash, colour: own };
  return { kind: 'groups', count: show.burst, pause: show.pauseSeconds, round, colour: own };
}

function wordsFor(shows: Shows, light: Light): string {
  if (shows.sweep?.lights.includes(light.id))
    return `lights up in turn, ${secondsText(shows.sweep.stepSeconds)} each`;
  return showText(shows.lights[light.id] ?? { kind: 'off' });
}

/** Differ by the factor of 1.5 or more; figures that are equal but for rounding count as equal. */
function farApart(a: number, b: number): boolean {
  return Math.max(a, b) >= Math.min(a, b) * sameRateBelow * (1 - 1e-9);
}

function looksSteady(sight: Sight): boolean {
  return sight.kind === 'steady' || (sight.kind === 'flash' && sight.perMinute > steadyAbovePerMinute);
}

/** Until it has surely been seen both lit and dark. */
function roundOf(sight: Sight): number {
  if (sight.kind === 'flash') return 60 / sight.perMinute;
  return sight.kind === 'groups' || sight.kind === 'run' ? sight.round : 0;
}

function lightsApart(a: Sight, b: Sight): Pick<Difference, 'seconds' | 'colourOnly'> | undefined {
  if (a.kind === 'off' && b.kind === 'off') return undefined;
  const rounds = Math.max(roundOf(a), roundOf(b));
  const after = (seconds: number) => ({
    seconds: Math.max(lookSeconds, Math.ceil(seconds - 1e-9)),
    colourOnly: false,
  });
  if (a.kind === 'off' || b.kind === 'off') return after(rounds + 1);
  if (movesApart(a, b)) {
    if (a.kind === 'flash' && b.kind === 'flash') {
      return after(Math.max(rounds + 1, (60 * clearCount) / Math.abs(a.perMinute - b.perMinute)));
    }
    // Two of the same kind must be compared, so each is watched through twice.
    return after(a.kind === b.kind ? 2 * rounds : rounds + 1);
  }
  if (sameColour(a.colour, b.colour)) return undefined;
  return { ...after(rounds + 1), colourOnly: true };
}

/** Lit in different ways, colour aside. */
function movesApart(a: Exclude<Sight, { kind: 'off' }>, b: Exclude<Sight, { kind: 'off' }>): boolean {
  if (a.kind === 'flash' && b.kind === 'flash') {
    if (looksSteady(a) && looksSteady(b)) return false;
    return farApart(a.perMinute, b.perMinute);
  }
  if (looksSteady(a) && looksSteady(b)) return false;
  if (a.kind === 'groups' && b.kind === 'groups') {
    const small = Math.max(a.count, b.count) <= countedExactly;
    if (a.count !== b.count && (small || farApart(a.count, b.count))) return true;
    return farApart(a.pause, b.pause);
  }
  // Two runs are compared as a whole.
  return a.kind !== b.kind;
}

function sameColour(a: string, b: string): boolean {
  return a === b || nearColours.some((near) => near.includes(a) && near.includes(b));
}

function runsApart(a: Sweep, b: Sweep, lights: readonly Light[]): Difference | undefined {
  const label = (id: string): string => lights.find((light) => light.id === id)?.label ?? id;
  const names = (run: Sweep): string => run.lights.map(label).join(', ');
  const rounds = Math.max(...[a, b].map((run) => run.lights.length * run.stepSeconds));
  const found = (seconds: number, by: string): Difference => ({
    seconds: Math.max(lookSeconds, Math.ceil(seconds - 1e-9)),
    by,
    colourOnly: false,
  });
  if (sameRound(a.lights, b.lights)) {
    if (!farApart(a.stepSeconds, b.stepSeconds)) return undefined;
    const speeds = [a, b].map((run) => `${secondsText(run.stepSeconds)} each`);
    return found(2 * rounds, `how fast ${names(a)} light up in turn: ${speeds.join(', or ')}`);
  }
  const sameLights = [...a.lights].sort().join() === [...b.lights].sort().join();
  // Other lights in it show by themselves; the order alone must be slow enough to follow.
  if (sameLights && Math.min(a.stepSeconds, b.stepSeconds) < directionFromSeconds) return undefined;
  return found(rounds + 1, `the order in which they light up: ${names(a)}, or ${names(b)}`);
}

/** The same going round, wherever it is begun. */
export function sameRound(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && a.some((_, shift) => b.every((id, i) => id === a[(i + shift) % a.length]));
}
