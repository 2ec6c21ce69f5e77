// The id under which a record's own entries stand: random, short, readable. Says nothing of the computer or its
// user. It begins with a letter, so that no spreadsheet takes it for a number; 0, 1, l and o are left out.

import type { Random } from '../../../ports/random.ts';

const characters = 'abcdefghijkmnpqrstuvwxyz23456789';
const letterCount = 24;
const idLength = 8;

/** Eight characters, some 2^39 of them: enough that the laptops of one firm never meet in one. */
export function newLaptopId(random: Random): string {
  const bytes = random.bytes(idLength);
  return Array.from(bytes, (byte, at) => characters[byte % (at === 0 ? letterCount : 32)]).join('');
}
