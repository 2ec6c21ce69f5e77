// `lights PRODUCT --play PATTERN`: the pattern on the screen, each light by its label and colour in words. It is
// slowed where the screen would flash too often, ends by itself, and Ctrl-C ends it earlier (exit 130).

import { setTimeout as sleep } from 'node:timers/promises';
import type { Light, Pattern, Product } from '../manifest/schema.ts';
import { playbackOf } from '../procedure/light-playback.ts';
import { showsText } from '../procedure/light-text.ts';
import { type PatternTimeline, patternTimeline } from '../procedure/light-timeline.ts';
import { steadyAbovePerMinute } from '../procedure/tell-apart.ts';
import { type Colour, paint } from '../ui/paint.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';

const usualSeconds = 20;
const mostSeconds = 300;

export async function playLights(
  context: Context,
  product: Product,
  pattern: Pattern,
  given: OptionValues[string],
): Promise<Answer> {
  const { terminal, stop } = context;
  if (terminal.live === undefined) throw noTerminal(product);
  const timeline = patternTimeline(pattern.shows, product.lights);
  const playback = playbackOf(timeline);
  const lengthSeconds = given === undefined ? usualLength(playback.roundMs) : requireSeconds(String(given));
  const slowed = slowedText(pattern, playback.slowedBy);
  const notice = (line: string) => terminal.notice(wrap(line, Math.min(terminal.columns, 100)));
  notice(`${product.id}, ${pattern.id}: ${printable(pattern.means, 200)}`);
  if (slowed !== undefined) notice(slowed);
  notice(`Plays for ${lengthSeconds} seconds; Ctrl-C ends it.`);

  const live = terminal.live();
  const names = product.lights.map(nameOf);
  const stopped = await playFrames(
    playback.frames(lengthSeconds * 1000),
    lengthSeconds * 1000,
    (lit) => live.show(linesOf(timeline, names, lit, terminal.colour)),
    stop,
  );
  live.end();
  const words = showsText(pattern.shows, product.lights);
  return {
    exit: stopped ? exitCode.stopped : exitCode.done,
    json: {
      product: product.id,
      pattern: pattern.id,
      means: pattern.means,
      shows: words,
      seconds: lengthSeconds,
      slowedBy: Math.round(playback.slowedBy * 100) / 100,
      stopped,
    },
    text: wrap(
      `${stopped ? 'Stopped' : 'Played'}: ${pattern.id}. On the unit: ${words}.`,
      Math.min(terminal.columns, 100),
    ),
  };
}

/** Each change at its time, or later where the screen was slow: never two closer than the playback has them. */
async function playFrames(
  frames: Iterable<{ readonly atMs: number; readonly lit: readonly (string | undefined)[] }>,
  lengthMs: number,
  show: (lit: readonly (string | undefined)[]) => void,
  stop: AbortSignal,
): Promise<boolean> {
  let playedMs = 0;
  try {
    for (const { atMs, lit } of frames) {
      await sleep(atMs - playedMs, undefined, { signal: stop });
      playedMs = atMs;
      show(lit);
    }
    await sleep(lengthMs - playedMs, undefined, { signal: stop });
    return stop.aborted;
  } catch (error) {
    if (stop.aborted) return true;
    throw error;
  }
}

function usualLength(roundMs: number): number {
  return Math.min(mostSeconds, Math.max(usualSeconds, Math.ceil((2 * roundMs) / 1000)));
}

function nameOf({ label, colours }: Light): string {
  return `${printable(label, 40)} (${colours.join(' or ')})`;
}

const paints: Readonly<Record<string, Colour>> = {
  red: 'red',
  yellow: 'yellow',
  amber: 'yellow',
  orange: 'yellow',
  green: 'green',
};

function linesOf(
  { display, lights }: PatternTimeline,
  names: readonly string[],
  lit: readonly (string | undefined)[],
  colour: boolean,
): string[] {
  if (display !== undefined) return [`  display  [ ${printable(display, 80)} ]`];
  if (lights.length === 0) return ['  no light, no display'];
  const width = Math.max(...names.map((name) => name.length));
  return lights.map((_, i) => {
    const name = (names[i] ?? '').padEnd(width);
    const now = lit[i];
    if (now === undefined) return `  ${name}  [      ]  dark`;
    return `  ${name}  [${paint('######', paints[now] ?? 'bold', colour)}]  LIT, ${now}`;
  });
}

/** What is played is not what the unit shows: said, with what it really does. */
function slowedText({ shows }: Pattern, slowedBy: number): string | undefined {
  if (slowedBy < 1.01) return undefined;
  const fast = Object.values(shows.lights).some(
    (show) => show.kind === 'flash' && show.perMinute > steadyAbovePerMinute,
  );
  const steady = fast ? ' On the unit a light that quick looks steadily lit.' : '';
  return `Slowed: ${slowedBy.toFixed(1)} times slower than on the unit, since nothing flashes more than three times a second here.${steady}`;
}

function requireSeconds(given: string): number {
  const seconds = /^\d{1,4}$/.test(given.trim()) ? Number(given) : 0;
  if (seconds >= 1 && seconds <= mostSeconds) return seconds;
  throw new Failure({
    code: 'seconds-form',
    exit: exitCode.wrongUse,
    summary: '--seconds is no time to play.',
    seen: printable(given, 40),
    expected: `whole seconds, from 1 to ${mostSeconds}`,
    where: '--seconds',
    next: 'Give --seconds again, or leave it out.',
  });
}

function noTerminal(product: Product): Failure {
  return new Failure({
    code: 'no-terminal',
    exit: exitCode.wrongUse,
    summary: 'Lights are played on a terminal, and there is none.',
    expected: 'standard error on a terminal that can draw lines over',
    next: `See them drawn in characters: slotproof lights ${product.id}`,
  });
}
