// The number of a sheet: seven characters by chance and a check character (ISO/IEC 7064 MOD 37-2), said in two
// groups of four, such as `K7MD-29XH`. It is read out over the telephone and copied by hand, so that letters
// which look or sound like a digit or spell words are left out (no I, O, 0, 1, S, Z, B, G, Q, no vowels).

import type { Random } from '../ports/random.ts';

const letters = '23456789CDFHJKLMNPRTVWXY';
/** ISO/IEC 7064, table 1: the values 0 to 35; 36 is `*`, which no sheet number ends with. */
const values = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*';
const length = 7;

function checkCharacter(text: string): string {
  let sum = 0;
  for (const character of text) sum = ((sum + values.indexOf(character)) * 2) % 37;
  return values[(38 - sum) % 37] as string;
}

/** One new number. The last character by chance gives way until the check character is one of the letters. */
export function drawSheetNumber(random: Random): string {
  const bytes = random.bytes(length * 2);
  const draws = Array.from(
    { length },
    (_, i) => (bytes[2 * i] as number) * 256 + (bytes[2 * i + 1] as number),
  );
  const letter = (draw: number) => letters[draw % letters.length] as string;
  const head = draws.slice(0, -1).map(letter).join('');
  const last = draws[length - 1] as number;
  // 24 different last letters give 24 different checks of the 37 there are, 24 of which are letters: some fit.
  for (let turn = 0; turn < letters.length; turn++) {
    const text = head + letter(last + turn);
    const check = checkCharacter(text);
    if (letters.includes(check)) return `${text.slice(0, 4)}-${text.slice(4)}${check}`;
  }
  throw new RangeError(`no check letter for ${head}`);
}

/** As it is printed, from what a person typed: any case, blanks and hyphens anywhere; undefined if mistyped. */
export function readSheetNumber(typed: string): string | undefined {
  if (typed.length > 40) return undefined;
  const text = typed.toUpperCase().replace(/[\s-]/g, '');
  if (text.length !== length + 1 || [...text].some((character) => !letters.includes(character)))
    return undefined;
  if (checkCharacter(text.slice(0, length)) !== text[length]) return undefined;
  return `${text.slice(0, 4)}-${text.slice(4)}`;
}
