// Lights drawn as blocks on a line: lit where the block stands, dark where the line is bare. The colour is printed
// too, but nothing depends on it: name, colour word and what to count stand beside every strip.

import type { Pattern, Shows } from '../../manifest/schema.ts';
import { type LightTimeline, patternTimeline } from '../../procedure/light-timeline.ts';
import {
  type LightLine,
  lightLines,
  patternWords,
  printedChart,
  sweepWords,
} from '../content/light-content.ts';
import { inkColour, lightDrawing } from '../light-drawing.ts';
import type { PageBlock } from './page-flow.ts';
import { headingBlock, type PdfForm, say, sizes } from './pdf-form.ts';
import { beside, inset, type Slab, stack } from './slab.ts';

const stripHeightPt = 7.5;

function strip(timeline: LightTimeline, widthPt: number, steady: boolean): Slab {
  const { bars, spanSeconds } = lightDrawing(timeline);
  const barPt = stripHeightPt - 2;
  const seconds = Math.floor(spanSeconds);
  const marks =
    steady || seconds > 20 ? [] : Array.from({ length: seconds + 1 }, (_, at) => at / spanSeconds);
  return {
    heightPt: stripHeightPt + 1,
    inkAt(xPt, yPt) {
      const linePt = yPt + stripHeightPt - 1;
      return [
        { kind: 'line', fromPt: [xPt, linePt], toPt: [xPt + widthPt, linePt], strokePt: 0.6 },
        ...marks.map((at) => ({
          kind: 'line' as const,
          fromPt: [xPt + at * widthPt, linePt] as const,
          toPt: [xPt + at * widthPt, linePt + 2] as const,
          strokePt: 0.35,
        })),
        ...bars.map(({ from, to, colour }) => ({
          kind: 'box' as const,
          xPt: xPt + from * widthPt,
          yPt: linePt - barPt,
          widthPt: (to - from) * widthPt,
          heightPt: barPt,
          fill: inkColour(colour),
          strokePt: 0.5,
        })),
      ];
    },
  };
}

interface LightColumns {
  readonly widthPt: number;
  readonly namePt: number;
  readonly stripPt: number;
}

/** Name and strip, the words beside them; what is said of all the others stands below the last strip. */
function lightSlab(
  form: PdfForm,
  line: LightLine,
  timeline: LightTimeline,
  at: LightColumns,
  others: string | null,
): Slab {
  const { lights } = form.words;
  const sizePt = sizes.small;
  const drawnPt = at.namePt + at.stripPt + 4;
  const wordsLeftPt = drawnPt + 4;
  const { spanSeconds } = lightDrawing(timeline);
  const time = line.steady ? '' : ` (${lights.overTime(spanSeconds)})`;
  const drawn = beside([
    { leftPt: 0, slab: say(form, line.name, { face: 'bold', sizePt, widthPt: at.namePt }) },
    { leftPt: at.namePt + 4, slab: inset(strip(timeline, at.stripPt, line.steady), { topPt: 0.5 }) },
  ]);
  const below = others === null ? [] : [say(form, others, { sizePt, widthPt: drawnPt })];
  return beside([
    { leftPt: 0, slab: stack([drawn, ...below]) },
    {
      leftPt: wordsLeftPt,
      slab: say(form, `${line.words}${time}`, { sizePt, widthPt: at.widthPt - wordsLeftPt }),
    },
  ]);
}

function columnsFor(form: PdfForm, lines: readonly LightLine[], widthPt: number): LightColumns {
  const widest = Math.max(0, ...lines.map(({ name }) => form.type.press.widthOf(name, 'bold', sizes.small)));
  const namePt = Math.min(widthPt * 0.38, widest + 2);
  return { widthPt, namePt, stripPt: Math.min(110, (widthPt - namePt) * 0.44) };
}

/** Each light that is not off, and a word on the others. */
export function showsSlab(form: PdfForm, shows: Shows, widthPt: number): Slab {
  const { view, words } = form;
  if (shows.display !== undefined) {
    return say(form, words.lights.display(shows.display), { face: 'bold', widthPt });
  }
  const all = lightLines(shows, view.lights, words);
  const drawn = all.filter(({ off }) => !off);
  if (drawn.length === 0) return say(form, words.lights.allOff, { face: 'bold', widthPt });
  const timelines = patternTimeline(shows, view.lights).lights;
  const at = columnsFor(form, drawn, widthPt);
  const small = { sizePt: sizes.small, widthPt };
  const others = drawn.length < all.length ? words.lights.othersOff : null;
  return stack(
    [
      ...drawn.flatMap((line, index) => {
        const timeline = timelines.find(({ light }) => light === line.light.id);
        const below = index === drawn.length - 1 ? others : null;
        return timeline === undefined ? [] : [lightSlab(form, line, timeline, at, below)];
      }),
      ...sweepWords(shows, view.lights, words).map((text) => say(form, text, small)),
    ],
    1,
  );
}

function patternSlab(form: PdfForm, pattern: Pattern, widthPt: number): Slab {
  const { means, busy } = patternWords(pattern, form.words);
  return stack(
    [
      say(form, means, { face: 'bold', widthPt }),
      ...(busy === null ? [] : [say(form, busy, { face: 'bold', sizePt: sizes.small, widthPt })]),
      showsSlab(form, pattern.shows, widthPt),
    ],
    1,
  );
}

/** The chart: two patterns beside each other, read line by line. */
export function lightBlocks(form: PdfForm): PageBlock[] {
  const { view, words } = form;
  const gapPt = 14;
  const widthPt = (form.widthPt - gapPt) / 2;
  const chart = printedChart(view, words);
  const cards = chart.patterns.map((pattern) => patternSlab(form, pattern, widthPt));
  const pairs = cards.flatMap((card, at) => (at % 2 === 0 ? [[card, cards[at + 1]]] : []));
  return [
    headingBlock(form, words.sections.lights),
    { slabs: [say(form, chart.intro.join(' '), { sizePt: sizes.small })], withNext: cards.length > 0 },
    ...pairs.map(([left, right]): PageBlock => {
      const pair = beside([
        ...(left === undefined ? [] : [{ leftPt: 0, slab: left }]),
        ...(right === undefined ? [] : [{ leftPt: widthPt + gapPt, slab: right }]),
      ]);
      return { slabs: [pair], abovePt: 6 };
    }),
  ];
}
