// A pattern of lights on a phone: light by light, its name with the colour spelt out, a strip over time that tells it
// by shape alone, and what it does in words. The round lamp before it is dark until the page's script plays it.

import type { Light, Shows } from '../../manifest/schema.ts';
import { type LightTimeline, patternTimeline } from '../../procedure/light-timeline.ts';
import { type LightLine, lightLines, sweepWords } from '../content/light-content.ts';
import type { SheetLanguage } from '../language.ts';
import { inkColour, lightDrawing } from '../light-drawing.ts';
import { screenPlayback } from './screen-playback.ts';
import { el, type Tree, type TreeElement } from './tree.ts';

const widthUnits = 240;
const heightUnits = 18;

function round(value: number): number {
  return Math.round(value * 100) / 100;
}

function strip(timeline: LightTimeline): TreeElement {
  const bars = lightDrawing(timeline).bars.map(({ from, to, colour }) =>
    el('rect', {
      x: round(from * widthUnits),
      y: 2,
      width: round((to - from) * widthUnits),
      height: heightUnits - 5,
      fill: inkColour(colour),
    }),
  );
  return el(
    'svg',
    {
      class: 'strip',
      viewBox: `0 0 ${widthUnits} ${heightUnits}`,
      preserveAspectRatio: 'none',
      'aria-hidden': 'true',
    },
    el('rect', { class: 'base', x: 0, y: heightUnits - 3, width: widthUnits, height: 2 }),
    ...bars,
  );
}

/** A lamp that is on all the time is lit as it stands. */
function steadyColour({ show, light }: LightLine): string | undefined {
  return show?.kind === 'on' ? (show.colour ?? light.colours[0]) : undefined;
}

function lightRow(line: LightLine, timeline: LightTimeline, words: SheetLanguage): TreeElement {
  const time = line.steady ? '' : ` (${words.lights.overTime(lightDrawing(timeline).spanSeconds)})`;
  return el(
    'li',
    { class: 'light' },
    el('span', {
      class: 'lamp',
      'data-light': line.light.id,
      'data-colour': steadyColour(line),
      'aria-hidden': 'true',
    }),
    el('span', { class: 'name' }, line.name),
    el('span', { class: 'does' }, `${line.words}${time}`),
    line.off ? null : strip(timeline),
  );
}

/** How many times slower than the unit a phone plays it; 1: as it is, or it does not move at all. */
export function slowedBy(shows: Shows, lights: readonly Light[]): number {
  const timeline = patternTimeline(shows, lights);
  return timeline.lights.length === 0 ? 1 : screenPlayback(timeline).slowedBy;
}

/** Does anything in it change with time? Only then is there something to play. */
export function moves(shows: Shows): boolean {
  return (
    shows.sweep !== undefined ||
    Object.values(shows.lights).some(({ kind }) => kind === 'flash' || kind === 'burst')
  );
}

export interface ShowsParts {
  /** Lights that are off stand there too, as in the chart; elsewhere a word says that the others are off. */
  readonly off: boolean;
  /** What runs along is said as a whole; not where a label beside it does. */
  readonly sweep: boolean;
}

export function showsTree(
  shows: Shows,
  lights: readonly Light[],
  words: SheetLanguage,
  parts: ShowsParts,
): Tree[] {
  if (shows.display !== undefined) {
    return [el('p', { class: 'display' }, words.lights.display(shows.display))];
  }
  const timelines = patternTimeline(shows, lights).lights;
  const lines = lightLines(shows, lights, words);
  const drawn = lines.flatMap((line, i) =>
    parts.off || !line.off ? [lightRow(line, timelines[i]!, words)] : [],
  );
  if (drawn.length === 0) return [el('p', { class: 'display' }, words.lights.allOff)];
  const others = drawn.length < lines.length ? [el('p', { class: 'others' }, words.lights.othersOff)] : [];
  const sweep = parts.sweep ? sweepWords(shows, lights, words).map((text) => el('p', {}, text)) : [];
  return [...sweep, el('ul', { class: 'lights' }, ...drawn), ...others];
}
