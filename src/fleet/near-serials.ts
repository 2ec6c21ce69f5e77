// Which registered serials a mistyped one was probably meant to be: the same in other capitals, two characters swapped, one
// wrong, or one missing or too many. Suggestions for a person; nothing ever takes one by itself.
//
// It never looks at all serials. Each slip is a pattern of places (a character in either case, or any at all), and the
// sorted serials are searched by leaps: the first serial at or after a text; where it does not fit, the next text that
// could. So a million serials take a thousand leaps or so, all leaps of one round asked for together.

/** The first known serial that does not come before each text, by code points; null: there is none. */
export type SerialsFrom = (texts: readonly string[]) => Promise<readonly (string | null)[]>;

/** Longer ones are not registered, and one character may be too many. */
const maxLength = 65;
/** The character 0 stands in no serial. */
const leastCharacter = '\u0001';
/** Of one pattern. No alphabet of serials takes as many; a register made to take more is searched in part. */
const maxLeaps = 500;

/** At most `limit`, the likeliest kind of slip first, then by name. */
export async function nearSerials(typed: string, ask: SerialsFrom, limit = 3): Promise<string[]> {
  const search = searchNear(typed, limit);
  let step = search.next([]);
  while (!step.done) step = search.next(await ask(step.value));
  return step.value;
}

/** The same among serials in memory, sorted by `byCodePoints`. */
export function nearSerialsAmong(typed: string, sorted: readonly string[], limit = 3): string[] {
  const search = searchNear(typed, limit);
  let step = search.next([]);
  while (!step.done) step = search.next(step.value.map((text) => firstFrom(sorted, text)));
  return step.value;
}

/** As both engines of the record sort: UTF-8 has the order of code points, UTF-16 has not. */
export function byCodePoints(a: string, b: string): number {
  const [left, right] = [[...a], [...b]];
  for (let at = 0; at < left.length && at < right.length; at++) {
    const order = (left[at]?.codePointAt(0) ?? 0) - (right[at]?.codePointAt(0) ?? 0);
    if (order !== 0) return order;
  }
  return left.length - right.length;
}

function firstFrom(sorted: readonly string[], text: string): string | null {
  let [from, to] = [0, sorted.length];
  while (from < to) {
    const middle = (from + to) >>> 1;
    if (byCodePoints(sorted[middle] ?? '', text) < 0) from = middle + 1;
    else to = middle;
  }
  return sorted[from] ?? null;
}

/** Characters that may stand at one place, sorted; undefined: any. */
type Place = readonly string[] | undefined;
type Pattern = readonly Place[];

/** Yields texts to be looked up, is given the serials found, and returns what is near. */
function* searchNear(
  typed: string,
  limit: number,
): Generator<readonly string[], string[], readonly (string | null)[]> {
  const near: string[] = [];
  const seen = new Set([typed]);
  for (const patterns of slipsOf(typed)) {
    const found: string[] = [];
    let open = patterns.map((pattern) => ({ pattern, from: nextFitting(pattern, [], false) ?? '' }));
    for (let leap = 0; open.length > 0 && leap < maxLeaps; leap++) {
      const serials = yield open.map(({ from }) => from);
      const further: typeof open = [];
      for (const [at, { pattern }] of open.entries()) {
        const serial = serials[at] ?? null;
        if (serial === null) continue;
        const characters = [...serial];
        const isFitting = fits(pattern, characters);
        if (isFitting && !seen.has(serial)) found.push(serial);
        if (isFitting) seen.add(serial);
        const from = nextFitting(pattern, characters, isFitting);
        if (from !== undefined) further.push({ pattern, from });
      }
      open = further;
    }
    near.push(...found.sort());
    if (near.length >= limit) break;
  }
  return near.slice(0, limit);
}

/** Patterns of each kind of slip, the likeliest kind first. */
function* slipsOf(typed: string): Generator<readonly Pattern[]> {
  const characters = [...typed];
  if (characters.length > maxLength) return;
  const places = characters.map(eitherCase);
  // A server cannot even be asked for it.
  const possible = (patterns: Pattern[]) => patterns.filter((all) => !all.some((one) => one?.includes('\0')));
  yield possible([places]);
  yield possible(swapped(places));
  yield possible(places.map((_, at) => places.with(at, undefined)));
  yield possible([
    ...places.map((_, at) => places.toSpliced(at, 1)),
    ...[...places, undefined].map((_, at) => places.toSpliced(at, 0, undefined)),
  ]);
}

function swapped(places: readonly Place[]): Pattern[] {
  return places.flatMap((one, at) =>
    places.slice(at + 1).flatMap((other, after) => {
      if (one?.join() === other?.join()) return [];
      return [places.with(at, other).with(at + 1 + after, one)];
    }),
  );
}

function eitherCase(character: string): Place {
  const cases = [character, character.toUpperCase(), character.toLowerCase()];
  return [...new Set(cases)].filter((one) => [...one].length === 1).sort(byCodePoints);
}

const mayStand = (place: Place, character: string) => place === undefined || place.includes(character);

function fits(pattern: Pattern, characters: readonly string[]): boolean {
  return (
    pattern.length === characters.length &&
    pattern.every((place, at) => mayStand(place, characters[at] ?? ''))
  );
}

/** The least text from which on the next that fits may come: at or after the given one, or `strictly` after it. */
function nextFitting(pattern: Pattern, given: readonly string[], strictly: boolean): string | undefined {
  let depth = 0;
  while (depth < pattern.length && depth < given.length && mayStand(pattern[depth], given[depth] ?? ''))
    depth++;
  if (depth === given.length && depth < pattern.length)
    return given.join('') + (leastRest(pattern, depth) || leastCharacter);
  if (depth === given.length && !strictly) return given.join('');
  // What stands at the misfit, or else at a place before it, must become greater.
  for (let at = Math.min(depth, pattern.length - 1); at >= 0; at--) {
    const greater = nextAt(pattern[at], given[at] ?? '');
    if (greater !== undefined) return given.slice(0, at).join('') + greater + leastRest(pattern, at + 1);
  }
  return undefined;
}

function nextAt(place: Place, character: string): string | undefined {
  if (place !== undefined) return place.find((one) => byCodePoints(one, character) > 0);
  const next = (character.codePointAt(0) ?? 0) + 1;
  if (next > 0x10ffff) return undefined;
  return String.fromCodePoint(next === 0xd800 ? 0xe000 : next);
}

/** Up to the first place at which anything may stand. */
function leastRest(pattern: Pattern, from: number): string {
  let rest = '';
  for (const place of pattern.slice(from)) {
    if (place === undefined) return rest;
    rest += place[0] ?? '';
  }
  return rest;
}
