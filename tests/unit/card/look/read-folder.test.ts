// Folders from hand-made slots: what belongs together, what does not, and in which words it is told.

import { expect, test } from 'vitest';
import { decodeFolder } from '../../../../src/card/look/read-folder.ts';

/** The check sum of section 7.2, written apart from the code under test. */
function checksum(name: string): number {
  let sum = 0;
  for (const character of name) sum = ((sum >> 1) + (sum % 2 ? 0x80 : 0) + character.charCodeAt(0)) % 256;
  return sum;
}

function short(name: string, attributes = 0x20, caseBits = 0): Uint8Array {
  const slot = new Uint8Array(32);
  slot.set(Buffer.from(name, 'latin1'));
  slot[11] = attributes;
  slot[12] = caseBits;
  return slot;
}

/** One long-name slot: order byte, the text's units from there on, and whose it is. */
function long(order: number, text: string, owner: string): Uint8Array {
  const slot = new Uint8Array(32);
  slot[0] = order;
  slot[11] = 0x0f;
  slot[13] = checksum(owner);
  const places = [1, 3, 5, 7, 9, 14, 16, 18, 20, 22, 24, 28, 30];
  const units = [...text].map((character) => character.charCodeAt(0));
  if (units.length < 13) units.push(0);
  while (units.length < 13) units.push(0xffff);
  places.forEach((at, i) => {
    slot[at] = units[i]! & 0xff;
    slot[at + 1] = units[i]! >> 8;
  });
  return slot;
}

const deleted = (slot: Uint8Array): Uint8Array => Uint8Array.from([0xe5, ...slot.slice(1)]);
const end = new Uint8Array(32);
const folder = (slots: Uint8Array[], isRoot = true) =>
  decodeFolder(Uint8Array.from(slots.flatMap((slot) => [...slot])), isRoot);
const alias = 'ALONGE~1TXT';
const name = 'a longer name.txt';
const both = [long(0x42, '.txt', alias), long(0x01, 'a longer name', alias)];

test('a long name in two slots, and its alias', () => {
  const { entries, problems, endSlot } = folder([short('FIRST   TXT'), ...both, short(alias), end]);
  expect(problems).toEqual([]);
  expect(endSlot).toBe(4);
  expect(
    entries.map(({ name: shown, shortName, slot, firstSlot, hasLongName }) => [
      shown,
      shortName,
      slot,
      firstSlot,
      hasLongName,
    ]),
  ).toEqual([
    ['FIRST.TXT', 'FIRST.TXT', 0, 0, false],
    [name, 'ALONGE~1.TXT', 3, 1, true],
  ]);
});

test('a name of exactly 13 units has no end within', () => {
  const { entries, problems } = folder([long(0x41, 'thirteen-long', 'THIRTE~1   '), short('THIRTE~1   ')]);
  expect(problems).toEqual([]);
  expect(entries[0]?.name).toBe('thirteen-long');
});

test('deleted slots are counted by their place; what is behind the last used one is free', () => {
  const { entries, deletedSlots, endSlot, problems } = folder([
    ...both.map(deleted),
    deleted(short(alias)),
    short('A          '),
    deleted(short('B          ')),
  ]);
  expect(entries.map((entry) => entry.slot)).toEqual([3]);
  expect(deletedSlots).toEqual([0, 1, 2, 4]);
  expect(endSlot).toBe(5);
  expect(problems).toEqual([]);
});

test('case bits show lower case, and only the two count', () => {
  const { entries } = folder([short('RILL40  FWU', 0x20, 0x18), short('OTHER   TXT', 0x20, 0xe7)]);
  expect(entries.map((entry) => entry.name)).toEqual(['rill40.fwu', 'OTHER.TXT']);
});

test.each<[string, Uint8Array[], string]>([
  [
    'a check sum of another name',
    [long(0x41, 'other', 'OTHER      '), short('MINE       ')],
    'without its file',
  ],
  [
    'parts out of order',
    [long(0x43, 'c', alias), long(0x01, 'a longer name', alias), short(alias)],
    'out of order',
  ],
  ['a part twice', [...both, long(0x01, 'a longer name', alias), short(alias)], 'out of order'],
  [
    'parts of two names',
    [both[0]!, long(0x01, 'a longer name', 'OTHER      '), short(alias)],
    'out of order',
  ],
  ['a tail without a head', [long(0x01, 'a longer name', alias), short(alias)], 'out of order'],
  ['a head without its tail', [both[0]!, short(alias)], 'without its file'],
  ['a new name before the old one ended', [both[0]!, ...both, short(alias)], 'without its file'],
  ['nothing behind it', [...both], 'without its file'],
  ['a deleted entry behind it', [...both, deleted(short(alias))], 'without its file'],
  ['order 0', [long(0x40, '', alias), short(alias)], 'out of order'],
  ['order 21', [long(0x40 | 21, 'x', alias), short(alias)], 'out of order'],
  [
    'an end mark in a part that is not the last',
    [both[0]!, long(0x01, 'a', alias), short(alias)],
    'out of order',
  ],
  ['an empty long name', [long(0x41, '', alias), short(alias)], 'cannot be'],
  ['a separator in a long name', [long(0x41, 'a/b', alias), short(alias)], 'cannot be'],
  ['a control character in a long name', [long(0x41, 'a\u001b[2J', alias), short(alias)], 'cannot be'],
  [
    'a long name that is another’s short one',
    [short('B       TXT'), long(0x41, 'b.txt', alias), short(alias)],
    'twice',
  ],
  ['the same short name twice', [short('B       TXT'), short('B       TXT')], 'twice'],
  ['two labels', [short('ONE        ', 0x08), short('TWO        ', 0x08)], 'two volume labels'],
  ['an entry behind the end', [short('A          '), end, end, short('B          ')], 'behind the end'],
  ['“.” in the root', [short('.          ', 0x10)], 'cannot be'],
])('%s', (_, slots, problem) => {
  const { problems } = folder(slots);
  expect(problems.join('\n')).toContain(problem);
});

test('deleted slots behind the end are no entries', () => {
  expect(folder([short('A          '), end, deleted(short('B          '))]).problems).toEqual([]);
});

test('a folder begins with “.” and “..”; elsewhere they are no names', () => {
  const dots = [short('.          ', 0x10), short('..         ', 0x10)];
  const whole = folder([...dots, short('A          ')], false);
  expect(whole.problems).toEqual([]);
  expect(whole.dots.filter(Boolean)).toHaveLength(2);
  expect(whole.entries.map((entry) => entry.name)).toEqual(['A']);
  expect(folder([dots[0]!, short('A          '), dots[1]!], false).problems.join()).toContain('cannot be');
  expect(folder([...dots, short('LABEL      ', 0x08)], false).problems.join()).toContain(
    'label outside the root',
  );
});

test('no slots at all', () => {
  expect(decodeFolder(new Uint8Array(), true)).toMatchObject({ entries: [], endSlot: 0, problems: [] });
  expect(decodeFolder(new Uint8Array(31).fill(0x41), true)).toMatchObject({
    entries: [],
    endSlot: 0,
    problems: [],
  });
});
