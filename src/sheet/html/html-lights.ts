// Lights as drawings within the page: lit where a block stands, dark where the line is bare. They stand still: a
// page that flashes would be nobody's friend. What is drawn is said in words beside it, and to those who hear it.

import type { Shows } from '../../manifest/schema.ts';
import { type LightTimeline, patternTimeline } from '../../procedure/light-timeline.ts';
import {
  type LightLine,
  lightLines,
  patternWords,
  printedChart,
  sweepWords,
} from '../content/light-content.ts';
import { inkColour, lightDrawing } from '../light-drawing.ts';
import { type HtmlForm, list, paragraph, section, text } from './html-parts.ts';

const widthUnits = 240;
const heightUnits = 16;
const lineAt = 13;

function number(value: number): string {
  return String(Math.round(value * 100) / 100);
}

function strip(timeline: LightTimeline, spoken: string, steady: boolean): string {
  const { bars, spanSeconds } = lightDrawing(timeline);
  const width = widthUnits - 2;
  const seconds = Math.floor(spanSeconds);
  const marks =
    steady || seconds > 20
      ? ''
      : Array.from(
          { length: seconds + 1 },
          (_, at) => `M${number(1 + (at / spanSeconds) * width)} ${lineAt}v3`,
        ).join('');
  const drawn = bars.map(({ from, to, colour }) => {
    const x = number(1 + from * width);
    return `<rect x="${x}" y="2" width="${number((to - from) * width)}" height="${lineAt - 2}" fill="${inkColour(colour)}" stroke="#000"/>`;
  });
  const line = `<path d="M1 ${lineAt}h${width}${marks}" stroke="#000" fill="none"/>`;
  return `<svg class="strip" role="img" aria-label="${text(spoken)}" viewBox="0 0 ${widthUnits} ${heightUnits}" preserveAspectRatio="none">${line}${drawn.join('')}</svg>`;
}

function light({ words }: HtmlForm, line: LightLine, timeline: LightTimeline): string {
  const time = line.steady ? '' : ` (${words.lights.overTime(lightDrawing(timeline).spanSeconds)})`;
  const says = `${line.words}${time}`;
  return `<div class="light"><span class="name">${text(line.name)}</span>${strip(timeline, `${line.name}: ${says}`, line.steady)}<span class="does" aria-hidden="true">${text(says)}</span></div>`;
}

/** Light by light; in a table only those that are not off, and a word on the others. */
export function shows(form: HtmlForm, shown: Shows, offToo: boolean): string {
  const { view, words } = form;
  if (shown.display !== undefined)
    return `<span class="shown">${text(words.lights.display(shown.display))}</span>`;
  const all = lightLines(shown, view.lights, words);
  const drawn = offToo ? all : all.filter(({ off }) => !off);
  if (drawn.length === 0) return `<span class="shown">${text(words.lights.allOff)}</span>`;
  const timelines = patternTimeline(shown, view.lights).lights;
  const lights = drawn.flatMap((line) => {
    const timeline = timelines.find((one) => one.light === line.light.id);
    return timeline === undefined ? [] : [light(form, line, timeline)];
  });
  const more = [
    ...sweepWords(shown, view.lights, words),
    ...(drawn.length < all.length ? [words.lights.othersOff] : []),
  ];
  // Names in one column: as wide as the longest, up to a third.
  const longest = Math.max(...drawn.map(({ name }) => name.length));
  const nameEm = (Math.min(24, longest) * 0.56).toFixed(1);
  return `<div style="--name:${nameEm}em">${lights.join('')}</div>${more.map((one) => `<div>${text(one)}</div>`).join('')}`;
}

export function lightsSection(form: HtmlForm): string {
  const { view, words } = form;
  const chart = printedChart(view, words);
  const cards = chart.patterns.map((pattern) => {
    const { means, busy } = patternWords(pattern, words);
    const warning = busy === null ? '' : paragraph(busy, 'strong');
    return `<h3>${text(means)}</h3>\n${warning}${shows(form, pattern.shows, true)}`;
  });
  return section('lights', words.sections.lights, paragraph(chart.intro.join(' ')) + list(cards, 'chart'));
}
