// Lights in characters: each light of a pattern named, with its colour in words, drawn as a strip over time, and
// what it does in words with a count for ten seconds. Nothing depends on colour or on how a strip looks alone.

import type { Pattern, Shows } from '../manifest/schema.ts';
import { type LightLine, lightLines, patternWords, sweepWords } from './content/light-content.ts';
import { columnWidth, fold, padColumns } from './fold.ts';
import { lightStrip, sweepStrip } from './light-strip.ts';
import type { Block } from './pages.ts';
import { heading, paragraphLines, type TextForm } from './text-form.ts';

/** What of a sheet's form the chart needs: it is drawn on the screen too. */
export interface LightForm {
  readonly words: TextForm['words'];
  readonly width: number;
  readonly view: Pick<TextForm['view'], 'lights'>;
}

/** Below this many cells a strip shows no shape any more, so the time beside it gives way. */
const fewestCells = 14;

interface StripShape {
  readonly shows: Shows;
  readonly cells: number;
  readonly withTime: boolean;
}

function stripText(line: LightLine, { shows, cells, withTime }: StripShape, { words }: LightForm): string {
  const strip =
    line.show === null && shows.sweep !== undefined
      ? sweepStrip(shows.sweep, line.light.id, cells)
      : lightStrip(line.show ?? { kind: 'off' }, cells);
  const time = line.steady || !withTime ? '' : ` ${words.lights.overTime(strip.spanSeconds)}`;
  return `[${strip.cells}]${time}`;
}

/** For a cell of a table: only the lights that are not off, and a word on the others. */
export function showsCell(shows: Shows, form: TextForm, width: number): string[] {
  const { words, view } = form;
  if (shows.display !== undefined) return [words.lights.display(shows.display)];
  const besideTime = width - 3 - columnWidth(words.lights.overTime(9.9));
  const withTime = besideTime >= fewestCells;
  const shape = { shows, cells: Math.min(24, withTime ? besideTime : width - 2), withTime };
  const all = lightLines(shows, view.lights, words);
  const lit = all.filter((line) => !line.off);
  if (lit.length === 0) return [words.lights.allOff];
  return [
    ...lit.flatMap((line) =>
      line.steady ? [`${line.name}: ${line.words}`] : [line.name, stripText(line, shape, form), line.words],
    ),
    ...sweepWords(shows, view.lights, words),
    ...(lit.length < all.length ? [words.lights.othersOff] : []),
  ];
}

/** A light of the chart: name, strip, words; the words go below where the line has no room for them. */
function chartLines(line: LightLine, shape: StripShape, form: LightForm, nameColumns: number): string[] {
  const indent = '      ';
  const names = fold(line.name, nameColumns);
  const strip = `${indent}${padColumns(names[0] ?? '', nameColumns)} ${stripText(line, shape, form)}`;
  const below = indent + ' '.repeat(nameColumns + 1);
  const more = names.slice(1).map((text) => indent + text);
  const oneLine = `${strip}  ${line.words}`;
  if (columnWidth(oneLine) <= form.width) return [oneLine, ...more];
  return [strip, ...more, ...fold(line.words, form.width - below.length).map((text) => below + text)];
}

function patternBlock(pattern: Pattern, form: TextForm): Block {
  const head = paragraphLines(form, patternWords(pattern, form.words).means, 2);
  return { lines: ['', ...head, ...patternLines(pattern, form)] };
}

/** What stands below a pattern's meaning: whether the unit may be writing, and its lights drawn. */
export function patternLines(pattern: Pattern, form: LightForm): string[] {
  const { words, view, width } = form;
  const { shows } = pattern;
  const says = patternWords(pattern, words);
  const busy = says.busy === null ? [] : paragraphLines(form, says.busy, 4);
  if (shows.display !== undefined) {
    return [...busy, ...paragraphLines(form, words.lights.display(shows.display), 6)];
  }
  const lights = lightLines(shows, view.lights, words);
  const nameColumns = Math.min(
    Math.floor(width / 3),
    Math.max(8, ...lights.map(({ name }) => columnWidth(name))),
  );
  const cells = Math.max(12, Math.min(30, width - 6 - nameColumns - 20));
  const sweep = sweepWords(shows, view.lights, words).flatMap((text) => paragraphLines(form, text, 6));
  const lines = lights.flatMap((line) =>
    chartLines(line, { shows, cells, withTime: true }, form, nameColumns),
  );
  return [...busy, ...lines, ...sweep];
}

export function lightsBlocks(form: TextForm): Block[] {
  return [
    heading(form, form.words.sections.lights),
    { lines: paragraphLines(form, form.words.lights.intro), withNext: true },
    ...form.view.patterns.map((pattern) => patternBlock(pattern, form)),
  ];
}
