// Which entry name a file or folder gets on a card: a plain upper-case 8.3 name where that says it all, else a
// long name with an alias that is free in its folder (FAT specification, sections 6 and 7).

import { encodeShortName, shortNameBytes } from './short-name.ts';

export interface CardName {
  readonly short: Uint8Array;
  /** Absent for a plain name. */
  readonly long?: string;
}

const ascii = /^[\x20-\x7e]*$/;
const maxAliasNumber = 999_999;

/** The 11 bytes as text, to compare names in a folder. */
export function shortNameKey(short: Uint8Array): string {
  return String.fromCharCode(...short.subarray(0, shortNameBytes));
}

/** Letters of other alphabets stay as they are: a ß would become two. */
function upper(text: string): string {
  return text.replace(/[a-z]/g, (letter) => letter.toUpperCase());
}

/** A name as it is compared: only A to Z have another case on a card. Unicode's rules would join more (the Kelvin sign and k). */
export function foldCardName(name: string): string {
  return name.replace(/[A-Z]/g, (letter) => letter.toLowerCase());
}

export function sameCardName(a: string, b: string): boolean {
  return foldCardName(a) === foldCardName(b);
}

function aliasPart(text: string, length: number): string {
  return upper(text)
    .replace(/[ .]/g, '')
    .replace(/[^A-Z0-9!#$%&'()@^_`{}~-]/g, '_')
    .slice(0, length);
}

function aliasOf(name: string, taken: ReadonlySet<string>): Uint8Array | undefined {
  const dot = name.lastIndexOf('.');
  const base = aliasPart(dot > 0 ? name.slice(0, dot) : name, 8) || '_';
  const extension = dot > 0 ? aliasPart(name.slice(dot + 1), 3) : '';
  for (let number = 1; number <= maxAliasNumber; number++) {
    const tail = `~${number}`;
    const alias = `${base.slice(0, 8 - tail.length)}${tail}${extension === '' ? '' : `.${extension}`}`;
    const short = encodeShortName(alias);
    if (short !== undefined && !taken.has(shortNameKey(short))) return short;
  }
  return undefined;
}

/** `taken`: keys of the short names that stay in the folder. undefined where no name can be given. */
export function planCardName(
  name: string,
  shortNameOnly: boolean,
  taken: ReadonlySet<string>,
): CardName | undefined {
  const plain = ascii.test(name) ? encodeShortName(upper(name)) : undefined;
  if (plain !== undefined) return { short: plain };
  if (shortNameOnly) return undefined;
  const short = aliasOf(name, taken);
  return short === undefined ? undefined : { short, long: name };
}
