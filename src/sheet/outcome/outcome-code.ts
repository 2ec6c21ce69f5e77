// An outcome as a short code that is read out over the telephone: the unit, what became of it, the version read, the
// lights at the end, how it was left, and a check part keyed to its sheet. Who and when it does not say: those are
// asked when it is typed in.
//
//   5 symbols   row, outcome with its reason or cause, left, lights, kind of version
//   2           of which sheet: a digest of its number
//   0 or more   the serial, where the sheet does not list its units; the version, where it is not the release's
//   7 to 10     keyed check over sheet, serial and all before it, as many as fill the last group of four
//   2           check characters against mistyping
//
// The keyed check holds 31 bits or more. Somebody without the page who makes up a code, right in its two check
// characters and in the sheet's two, is believed once in 3,400 million tries; each try is one code typed in by a
// person, so this is plenty, and no more would be worth the reading out. It would not do where a machine may try.
// A code of another sheet is named as such but for one sheet in 529; that one is called forged.

import type { Left } from '../../record/unit-state.ts';
import {
  base,
  checkSymbolsAgree,
  cleanCode,
  convertDigits,
  formatCode,
  groupLength,
  type Symbols,
  symbolsOf,
  withCheckSymbols,
} from './code-symbols.ts';
import { keyedCheck, sheetDigest } from './keyed-check.ts';
import { type CodedOutcome, type OutcomeReading, type OutcomeSheet, refused, wrongUnit } from './outcome.ts';
import { packText, serialCharacters, unpackText, versionCharacters } from './packed-text.ts';

type What = Pick<CodedOutcome, 'outcome' | 'reason' | 'cause'>;

/** Places in these lists are what codes carry: only ever added to, at the end. */
const whats: readonly What[] = [
  { outcome: 'updated' },
  { outcome: 'already-current' },
  { outcome: 'failed' },
  ...['release', 'card', 'unit', 'site', 'safety'].map((cause): What => ({ outcome: 'failed', cause })),
  { outcome: 'deferred' },
  ...['no-access', 'refused', 'no-time', 'unsafe', 'wrong-hardware', 'no-card', 'other'].map(
    (reason): What => ({ outcome: 'deferred', reason }),
  ),
];
const lefts: readonly (Left | undefined)[] = [undefined, 'running', 'off', 'locked-off', 'no-life'];
const versionKinds = ['none', 'release', 'other', 'other-confirmed'] as const;

/** Rows from 1, or 0 where the serial follows; the sizes of the head's fields, in order: 2.1 of 6.4 million. */
const mostRows = 64;
const mostPatterns = 101;
const fields = [mostRows + 1, 16, lefts.length, mostPatterns + 1, versionKinds.length] as const;
const headSymbols = 5;
const sheetSymbols = 2;
const fewestKeyed = 7;
const checkSymbols = 2;
const shortest = headSymbols + sheetSymbols + fewestKeyed + checkSymbols;
const longest = 120;

function packHead(values: readonly number[]): number[] {
  const number = values.reduce((sum, value, i) => sum * (fields[i] as number) + value, 0);
  return convertDigits([number], base ** headSymbols, base, headSymbols);
}

function unpackHead(symbols: Symbols): number[] {
  let number = symbols.slice(0, headSymbols).reduce((sum, symbol) => sum * base + symbol, 0);
  const values: number[] = [];
  for (const size of [...fields].reverse()) {
    values.unshift(number % size);
    number = Math.floor(number / size);
  }
  return values;
}

function sheetTag(sheet: string): number[] {
  return convertDigits([...sheetDigest(sheet)], 256, base, sheetSymbols);
}

function keyedSymbols(sheet: OutcomeSheet, serial: string, content: Symbols, count: number): number[] {
  const check = keyedCheck(sheet.key, 'code', `${sheet.sheet}\n${serial}\n${content.join(' ')}`);
  return convertDigits([...check], 256, base, count);
}

/** undefined where it has no short form: a serial or version with characters that codes do not know. */
export function encodeOutcomeCode(outcome: CodedOutcome, sheet: OutcomeSheet): string | undefined {
  const listed = sheet.units.length > 0;
  const { versionRead, lights } = outcome;
  const what = whats.findIndex(
    (one) => one.outcome === outcome.outcome && one.reason === outcome.reason && one.cause === outcome.cause,
  );
  const kind =
    versionRead === undefined
      ? 'none'
      : versionRead === sheet.version
        ? 'release'
        : outcome.displayConfirmed
          ? 'other-confirmed'
          : 'other';
  const values = [
    listed ? outcome.row : 0,
    what,
    lefts.indexOf(outcome.left),
    lights === undefined ? 0 : sheet.patterns.indexOf(lights) + 1,
    versionKinds.indexOf(kind),
  ];
  const unknown = values.some((value, i) => value < 0 || value >= (fields[i] as number));
  if (unknown || (lights !== undefined && values[3] === 0)) return undefined;
  const serial = listed ? [] : packText(outcome.serial, serialCharacters);
  const version = kind.startsWith('other') ? packText(versionRead ?? '', versionCharacters) : [];
  if (serial === undefined || version === undefined) return undefined;
  const content = [...packHead(values), ...sheetTag(sheet.sheet), ...serial, ...version];
  const rest = (content.length + fewestKeyed + checkSymbols) % groupLength;
  const keyedCount = fewestKeyed + (rest === 0 ? 0 : groupLength - rest);
  const keyed = keyedSymbols(sheet, outcome.serial, content, keyedCount);
  return formatCode(withCheckSymbols([...content, ...keyed]));
}

/**
 * A code as a person typed it. `serial`: the unit that it is asked of, where it is asked of one.
 */
export function readOutcomeCode(
  typed: string,
  sheet: OutcomeSheet,
  serial?: string,
): OutcomeReading<CodedOutcome> {
  if (typed.length > 4 * longest) return refused('malformed');
  const cleaned = cleanCode(typed);
  if (cleaned.length < shortest / 2 || cleaned.length > longest || !/^[A-Z0-9]+$/.test(cleaned)) {
    return refused('malformed');
  }
  const symbols = symbolsOf(cleaned);
  if (symbols === undefined || symbols.length < shortest || symbols.length % groupLength !== 0) {
    return refused('mistyped');
  }
  if (!checkSymbolsAgree(symbols)) return refused('mistyped');
  const tag = symbols.slice(headSymbols, headSymbols + sheetSymbols);
  if (tag.join() !== sheetTag(sheet.sheet).join()) return refused('wrong-sheet');
  const read = decodeContent(symbols, sheet);
  if (read === undefined) return refused('forged');
  if (wrongUnit(sheet, read, serial)) return refused('wrong-unit', read.serial);
  return { kind: 'outcome', outcome: read };
}

/** undefined where its keyed check is not this sheet's. */
function decodeContent(symbols: Symbols, sheet: OutcomeSheet): CodedOutcome | undefined {
  const [row = 0, what = 0, left = 0, light = 0, kindAt = 0] = unpackHead(symbols);
  const kind = versionKinds[kindAt];
  const end = symbols.length - checkSymbols;
  let next = headSymbols + sheetSymbols;
  const take = (characters: string): string | undefined => {
    const taken = unpackText(symbols, next, characters);
    next = taken?.next ?? next;
    return taken?.text;
  };
  const serial = row === 0 ? take(serialCharacters) : sheet.units[row - 1];
  const other = kind === 'other' || kind === 'other-confirmed' ? take(versionCharacters) : undefined;
  const versionRead = kind === 'release' ? sheet.version : other;
  if (serial === undefined || (kind !== 'none' && versionRead === undefined)) return undefined;
  const keyed = symbols.slice(next, end);
  if (keyed.length < fewestKeyed || keyed.length >= fewestKeyed + groupLength) return undefined;
  const expected = keyedSymbols(sheet, serial, symbols.slice(0, next), keyed.length);
  if (keyed.join() !== expected.join()) return undefined;
  const lights = sheet.patterns[light - 1];
  const said = whats[what];
  const how = lefts[left];
  if (said === undefined || (light > 0 && lights === undefined)) return undefined;
  return {
    sheet: sheet.sheet,
    row: row === 0 ? 1 : row,
    serial,
    ...said,
    ...(versionRead !== undefined && { versionRead }),
    ...(kind === 'other-confirmed' && { displayConfirmed: true as const }),
    ...(lights !== undefined && { lights }),
    ...(how !== undefined && { left: how }),
  };
}
