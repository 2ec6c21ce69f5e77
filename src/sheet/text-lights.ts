// Lights in characters: each light of a pattern named, with its colour in words, drawn as a strip over time, and
// what it does in words with a count for ten seconds. Nothing depends on colour or on how a strip looks alone.

import type { Light, LightShow, Pattern, Shows } from '../manifest/schema.ts';
import { columnWidth, fold, padColumns } from './fold.ts';
import type { SheetLanguage } from './language.ts';
import { lightStrip, type Strip, sweepStrip } from './light-strip.ts';
import type { Block } from './pages.ts';
import { heading, paragraphLines, type TextForm } from './text-form.ts';

function showWords(show: LightShow, words: SheetLanguage): string {
  const { lights } = words;
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

interface LightLine {
  readonly name: string;
  readonly strip: Strip;
  /** Steady light needs no time beside its strip. */
  readonly steady: boolean;
  readonly off: boolean;
  readonly words: string;
}

function lightLines(
  shows: Shows,
  lights: readonly Light[],
  words: SheetLanguage,
  cells: number,
): LightLine[] {
  return lights.map((light): LightLine => {
    const name = words.lights.light(light.label, light.colours);
    const { sweep } = shows;
    if (sweep?.lights.includes(light.id)) {
      const place = words.lights.inTurn(sweep.lights.indexOf(light.id) + 1, sweep.lights.length);
      return { name, strip: sweepStrip(sweep, light.id, cells), steady: false, off: false, words: place };
    }
    const show: LightShow = Object.hasOwn(shows.lights, light.id) ? shows.lights[light.id]! : { kind: 'off' };
    const steady = show.kind === 'on' || show.kind === 'off';
    return {
      name,
      strip: lightStrip(show, cells),
      steady,
      off: show.kind === 'off',
      words: showWords(show, words),
    };
  });
}

function sweepWords(shows: Shows, lights: readonly Light[], words: SheetLanguage): string[] {
  if (shows.sweep === undefined) return [];
  const labels = shows.sweep.lights.map((id) => lights.find((light) => light.id === id)?.label ?? id);
  return [words.lights.sweep(labels, shows.sweep.stepSeconds)];
}

/** Below this many cells a strip shows no shape any more, so the time beside it gives way. */
const fewestCells = 14;

function stripText(line: LightLine, words: SheetLanguage, withTime = true): string {
  const time = line.steady || !withTime ? '' : ` ${words.lights.overTime(line.strip.spanSeconds)}`;
  return `[${line.strip.cells}]${time}`;
}

/** For a cell of a table: only the lights that are not off, and a word on the others. */
export function showsCell(shows: Shows, form: TextForm, width: number): string[] {
  const { words, view } = form;
  if (shows.display !== undefined) return [words.lights.display(shows.display)];
  const besideTime = width - 3 - columnWidth(words.lights.overTime(9.9));
  const withTime = besideTime >= fewestCells;
  const all = lightLines(shows, view.lights, words, Math.min(24, withTime ? besideTime : width - 2));
  const lit = all.filter((line) => !line.off);
  if (lit.length === 0) return [words.lights.allOff];
  return [
    ...lit.flatMap((line) =>
      line.steady
        ? [`${line.name}: ${line.words}`]
        : [line.name, stripText(line, words, withTime), line.words],
    ),
    ...sweepWords(shows, view.lights, words),
    ...(lit.length < all.length ? [words.lights.othersOff] : []),
  ];
}

/** In one line, for lists: `DATA (white) 2 flashes, then dark for 1 s, again and again; all others off`. */
export function showsSentence(shows: Shows, form: TextForm): string {
  const { words, view } = form;
  if (shows.display !== undefined) return words.lights.display(shows.display);
  const lit = lightLines(shows, view.lights, words, 1).filter((line) => !line.off);
  if (lit.length === 0) return words.lights.allOff;
  const swept = shows.sweep?.lights ?? [];
  const single = view.lights
    .filter((light) => !swept.includes(light.id))
    .flatMap((light) => lit.filter((line) => line.name === words.lights.light(light.label, light.colours)));
  const parts = [
    ...sweepWords(shows, view.lights, words),
    ...single.map((line) => `${line.name}: ${line.words}`),
  ];
  return [...parts, ...(lit.length < view.lights.length ? [words.lights.othersOff] : [])].join('; ');
}

/** A light of the chart: name, strip, words; the words go below where the line has no room for them. */
function chartLines(line: LightLine, form: TextForm, nameColumns: number): string[] {
  const indent = '      ';
  const names = fold(line.name, nameColumns);
  const strip = `${indent}${padColumns(names[0] ?? '', nameColumns)} ${stripText(line, form.words)}`;
  const below = indent + ' '.repeat(nameColumns + 1);
  const more = names.slice(1).map((text) => indent + text);
  const oneLine = `${strip}  ${line.words}`;
  if (columnWidth(oneLine) <= form.width) return [oneLine, ...more];
  return [strip, ...more, ...fold(line.words, form.width - below.length).map((text) => below + text)];
}

function patternBlock(pattern: Pattern, form: TextForm): Block {
  const { words, view, width } = form;
  const head = paragraphLines(form, pattern.means, 2);
  const busy = pattern.busy ? paragraphLines(form, words.lights.busy, 4) : [];
  if (pattern.shows.display !== undefined) {
    const display = paragraphLines(form, words.lights.display(pattern.shows.display), 6);
    return { lines: ['', ...head, ...busy, ...display] };
  }
  const names = view.lights.map((light) => columnWidth(words.lights.light(light.label, light.colours)));
  const nameColumns = Math.min(Math.floor(width / 3), Math.max(8, ...names));
  const cells = Math.max(12, Math.min(30, width - 6 - nameColumns - 20));
  const lines = lightLines(pattern.shows, view.lights, words, cells);
  const sweep = sweepWords(pattern.shows, view.lights, words).flatMap((text) =>
    paragraphLines(form, text, 6),
  );
  return {
    lines: ['', ...head, ...busy, ...lines.flatMap((line) => chartLines(line, form, nameColumns)), ...sweep],
  };
}

export function lightsBlocks(form: TextForm): Block[] {
  return [
    heading(form, form.words.sections.lights),
    { lines: paragraphLines(form, form.words.lights.intro), withNext: true },
    ...form.view.patterns.map((pattern) => patternBlock(pattern, form)),
  ];
}
