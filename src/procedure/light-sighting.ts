// What somebody says that he sees, as text: `run=on,fault=20in10s`, `off`, `sweep=run+link+fault`,
// `display=E-17`. A light that is not named was not looked at; that is not the same as off. Does not say what
// it means: `match-lights.ts` does.

import type { Light } from '../manifest/schema.ts';
import { printable } from '../words/printable.ts';

export type SeenShow =
  | { readonly kind: 'off' }
  | { readonly kind: 'on' }
  /** Flashes counted in a time. */
  | { readonly kind: 'count'; readonly flashes: number; readonly seconds: number }
  /** Flashes in groups with a pause between: how many in one group. */
  | { readonly kind: 'groups'; readonly flashes: number };

export type SeenLight = SeenShow & { readonly colour?: string };

export interface Sighting {
  /** By light id; what was not looked at is not in it. */
  readonly lights: ReadonlyMap<string, SeenLight>;
  /** Lights that lit up in turn, in the order seen. */
  readonly sweep: readonly string[];
  /** What the display showed, empty for nothing; undefined: not looked at. */
  readonly display: string | undefined;
}

export interface SightingFault {
  readonly fault: string;
  readonly expected: string;
}

const form = 'such as `run=on,fault=20in10s`, `off`, `sweep=run+link+fault` or `display=text`';
const longestSeconds = 600;

export function parseSighting(text: string, lights: readonly Light[]): Sighting | SightingFault {
  const written = text.trim();
  if (written === '' || written.length > 1000)
    return { fault: 'nothing was said to be seen', expected: form };
  if (/^(all\s+)?off$/i.test(written)) {
    return { lights: new Map(lights.map(({ id }) => [id, { kind: 'off' }])), sweep: [], display: undefined };
  }
  const seen = new Map<string, SeenLight>();
  let sweep: string[] = [];
  let display: string | undefined;
  for (const part of partsOf(written)) {
    const [, name = '', value = ''] = /^([^=]*)=(.*)$/s.exec(part) ?? [];
    const key = name.trim().toLowerCase();
    if (key === '') return { fault: `\`${printable(part.trim())}\` names no light`, expected: form };
    if (key === 'display') {
      if (display !== undefined) return { fault: 'the display is told twice', expected: form };
      display = value.trim().replace(/^"(.*)"$/s, '$1');
      continue;
    }
    if (key === 'sweep') {
      const ids = value.split('+').map((each) => lightNamed(each, lights)?.id);
      if (sweep.length > 0 || ids.length < 2 || ids.length > 32 || ids.includes(undefined)) {
        return {
          fault: `\`${printable(part.trim())}\` is no run of lights`,
          expected: `lights of this product with + between: ${namesOf(lights)}`,
        };
      }
      sweep = ids as string[];
      continue;
    }
    const light = lightNamed(key, lights);
    if (light === undefined) {
      return {
        fault: `the product has no light \`${printable(name.trim())}\``,
        expected: `one of ${namesOf(lights)}, \`sweep\` or \`display\``,
      };
    }
    if (seen.has(light.id)) return { fault: `${light.label} is told twice`, expected: 'each light once' };
    const show = parseShow(value, light);
    if (show === undefined) {
      return {
        fault: `\`${printable(value.trim())}\` is nothing that ${light.label} can be seen to do`,
        expected: `\`off\`, \`on\`, flashes counted such as \`20in10s\`, or groups such as \`3x\`${light.colours.length > 1 ? `, with a colour before it, such as \`${light.colours[0]}:on\`` : ''}`,
      };
    }
    seen.set(light.id, show);
  }
  const both = sweep.find((id) => seen.has(id));
  if (both !== undefined)
    return { fault: `${both} is told by itself and in the sweep`, expected: 'each light once' };
  return { lights: seen, sweep, display };
}

/** At commas, but a display text runs to its closing quote, or to the end. */
function partsOf(text: string): string[] {
  const parts: string[] = [];
  let rest = text;
  while (rest !== '') {
    const display = /^\s*display\s*=\s*(?:"[^"]*"|(?!").*$)/is.exec(rest);
    const part = display?.[0] ?? /^[^,]*/.exec(rest)?.[0] ?? rest;
    parts.push(part);
    rest = rest.slice(part.length).replace(/^\s*,/, '');
    // Something stands between a closing quote and the comma: let it be refused as a part of its own.
  }
  return parts.filter((part) => part.trim() !== '');
}

function lightNamed(name: string, lights: readonly Light[]): Light | undefined {
  const wanted = name.trim().toLowerCase();
  return lights.find(({ id }) => id === wanted) ?? lights.find(({ label }) => label.toLowerCase() === wanted);
}

function namesOf(lights: readonly Light[]): string {
  return lights.length === 0 ? '(it has no lights)' : lights.map(({ id }) => `\`${id}\``).join(', ');
}

function parseShow(value: string, light: Light): SeenLight | undefined {
  let rest = value.trim().toLowerCase();
  const colour = [...light.colours]
    .sort((a, b) => b.length - a.length)
    .find((name) => rest === name || rest.startsWith(`${name}:`) || rest.startsWith(`${name} `));
  if (colour !== undefined) rest = rest.slice(colour.length).replace(/^[:\s]+/, '') || 'on';
  const own = colour === undefined ? {} : { colour };
  if (rest === 'off') return colour === undefined ? { kind: 'off' } : undefined;
  if (rest === 'on') return { kind: 'on', ...own };
  const groups = /^(\d{1,2})\s*x$/.exec(rest);
  if (groups !== null) {
    const flashes = Number(groups[1]);
    return flashes >= 1 && flashes <= 40 ? { kind: 'groups', flashes, ...own } : undefined;
  }
  const count = /^(\d{1,4})\s*in\s*(\d{1,3}(?:\.\d)?)\s*(s|min)?$/.exec(rest);
  if (count === null) return undefined;
  const seconds = Number(count[2]) * (count[3] === 'min' ? 60 : 1);
  const flashes = Number(count[1]);
  if (seconds < 1 || seconds > longestSeconds) return undefined;
  return flashes === 0 ? { kind: 'off' } : { kind: 'count', flashes, seconds, ...own };
}
