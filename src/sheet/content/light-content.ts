// What a pattern of lights says in words, light by light: its name with the colour spelt out, and what it does with
// a count for ten seconds. How it is drawn is the forms' own.

import type { Light, LightShow, Pattern, Shows } from '../../manifest/schema.ts';
import type { SheetLanguage } from '../language.ts';
import type { SheetView } from '../sheet-view.ts';

export interface LightLine {
  readonly light: Light;
  /** `DATA (white)` */
  readonly name: string;
  /** null: its turn in the pattern's sweep. */
  readonly show: LightShow | null;
  readonly off: boolean;
  /** On or off all the time: no time need be said beside it. */
  readonly steady: boolean;
  readonly words: string;
}

function showWords(show: LightShow, { lights }: SheetLanguage): string {
  switch (show.kind) {
    case 'off':
      return lights.off;
    case 'on':
      return show.colour === undefined ? lights.on : lights.colourOn(show.colour);
    case 'flash':
      return lights.flashes(show.colour ?? null, show.perMinute);
    case 'burst':
      return lights.bursts(show.colour ?? null, show.burst, show.pauseSeconds);
  }
}

/** Every light of the product in its order; none where a display text stands in place of lights. */
export function lightLines(shows: Shows, lights: readonly Light[], words: SheetLanguage): LightLine[] {
  if (shows.display !== undefined) return [];
  return lights.map((light): LightLine => {
    const name = words.lights.light(light.label, light.colours);
    const { sweep } = shows;
    if (sweep?.lights.includes(light.id)) {
      const place = words.lights.inTurn(sweep.lights.indexOf(light.id) + 1, sweep.lights.length);
      return { light, name, show: null, off: false, steady: false, words: place };
    }
    const show: LightShow = Object.hasOwn(shows.lights, light.id) ? shows.lights[light.id]! : { kind: 'off' };
    const steady = show.kind === 'on' || show.kind === 'off';
    return { light, name, show, off: show.kind === 'off', steady, words: showWords(show, words) };
  });
}

/** Lights that run along, said as one; none where nothing does. */
export function sweepWords(shows: Shows, lights: readonly Light[], words: SheetLanguage): string[] {
  if (shows.sweep === undefined) return [];
  const labels = shows.sweep.lights.map((id) => lights.find((light) => light.id === id)?.label ?? id);
  return [words.lights.sweep(labels, shows.sweep.stepSeconds)];
}

/** In one line, for lists: `DATA (white): 2 flashes, then dark for 1 s, again and again; all others off`. */
export function showsSentence(shows: Shows, lights: readonly Light[], words: SheetLanguage): string {
  if (shows.display !== undefined) return words.lights.display(shows.display);
  const lit = lightLines(shows, lights, words).filter((line) => !line.off);
  if (lit.length === 0) return words.lights.allOff;
  const single = lit.filter((line) => line.show !== null);
  const parts = [...sweepWords(shows, lights, words), ...single.map((line) => `${line.name}: ${line.words}`)];
  return [...parts, ...(lit.length < lights.length ? [words.lights.othersOff] : [])].join('; ');
}

export interface PrintedChart {
  /** What the lights say at a step is drawn there, in full, and not twice on paper. */
  readonly intro: readonly string[];
  readonly patterns: readonly Pattern[];
}

export function printedChart(view: SheetView, { lights }: SheetLanguage): PrintedChart {
  const drawn = new Set<string>();
  const numbers: number[] = [];
  for (const { number, body } of view.steps) {
    if (body.kind !== 'watch' || body.rows.length === 0) continue;
    numbers.push(number);
    for (const { pattern } of body.rows) drawn.add(pattern);
  }
  return {
    intro: [lights.introDrawn, ...(numbers.length === 0 ? [] : [lights.drawnAt(numbers)])],
    patterns: view.patterns.filter(({ id }) => !drawn.has(id)),
  };
}

/** What a pattern of the chart says above its lights. */
export function patternWords(pattern: Pattern, words: SheetLanguage): { means: string; busy: string | null } {
  return { means: pattern.means, busy: pattern.busy ? words.lights.busy : null };
}
