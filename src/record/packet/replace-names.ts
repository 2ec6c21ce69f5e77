// Marks in place of names: in the fields that hold people, and wherever the same names stand in free text, letter for
// letter and as whole words. Marks come from a key: the same name has the same mark in every packet, and nobody without
// the key can try names out. Names that only ever stand in free text are not known, and stay.

import { hmacSha256 } from '../../bytes/sha256.ts';
import type { Entry, JsonValue } from '../../ports/record-store.ts';
import { type People, peopleIn } from './people.ts';
import { standInName } from './stand-in-name.ts';

type Body = Entry['body'];

const digits = 'abcdefghijkmnpqrstuvwxyz23456789';

/** Ten characters of it: some 2^50, so that no two names of one firm meet in one mark. */
function markOf(key: Uint8Array, text: string): string {
  return Array.from(hmacSha256(key, text).subarray(0, 10), (byte) => digits[byte % 32]).join('');
}

export function personMark(key: Uint8Array, name: string): string {
  return `person-${markOf(key, `person ${name.normalize('NFC')}`)}`;
}

export function standInOf(key: Uint8Array, laptop: string): string {
  return standInName(markOf(key, `chain ${laptop}`));
}

export interface ReplacedNames {
  name(name: string): string;
  body(body: Body): Body;
}

const nobody = 'not said';

/** Longer names first, so that no part of one is replaced before the whole. */
export function replacingNames(key: Uint8Array, { firm, site }: People): ReplacedNames {
  const names = [...new Set([...firm, ...site])]
    .filter((name) => name.length > 1)
    .sort((a, b) => b.length - a.length);
  const marks = new Map(names.map((name) => [name, personMark(key, name)]));
  const name = (one: string): string =>
    one === nobody || one === '' ? one : (marks.get(one) ?? personMark(key, one));
  const inText = (text: string): string => {
    let changed = text;
    for (const one of names) if (changed.includes(one)) changed = replaceWords(changed, one, name(one));
    return changed;
  };
  const inValue = (value: JsonValue | undefined, at: string): JsonValue | undefined => {
    if (typeof value === 'string') {
      if (at === 'card') return cardWithoutFolder(key, value);
      return structural.has(at) ? value : inText(value);
    }
    if (Array.isArray(value)) return value.map((member) => inValue(member, at) ?? null);
    if (typeof value !== 'object' || value === null) return value;
    return Object.fromEntries(Object.entries(value).map(([key, member]) => [key, inValue(member, key)]));
  };
  const inBody = (body: Body): Body => {
    let changed = inValue(body, '') as Body;
    for (const place of peopleIn(body)) changed = withValueAt(changed, place.path, name(place.name)) as Body;
    return changed;
  };
  return { name, body: inBody };
}

/** A card image file goes by its path, and folders are named after people. Another folder is another mark. */
function cardWithoutFolder(key: Uint8Array, card: string): string {
  const at = Math.max(card.lastIndexOf('/'), card.lastIndexOf('\\'));
  return at < 0 ? card : `folder-${markOf(key, `folder ${card.slice(0, at)}`)}/${card.slice(at + 1)}`;
}

/** What says which unit, release, card or entry is meant: never a text that somebody typed about people. */
const structural = new Set([
  'serial',
  'product',
  'hardware',
  'release',
  'version',
  'versionBefore',
  'versionRead',
  'kind',
  'outcome',
  'evidence',
  'said',
  'lights',
  'pattern',
  'left',
  'reason',
  'cause',
  'sheet',
  'visit',
  'id',
  'hash',
  'sha256',
  'procedure',
  'verdict',
  'method',
  'form',
  'part',
  'step',
  'result',
]);

const isWordCharacter = (character: string | undefined) =>
  character !== undefined && /[\p{L}\p{N}]/u.test(character);

/** Not inside of another word. */
function replaceWords(text: string, name: string, mark: string): string {
  let done = '';
  let from = 0;
  for (;;) {
    const at = text.indexOf(name, from);
    if (at < 0) return done + text.slice(from);
    const isWord = !isWordCharacter(text[at - 1]) && !isWordCharacter(text[at + name.length]);
    done += text.slice(from, at) + (isWord ? mark : name);
    from = at + name.length;
  }
}

function withValueAt(value: JsonValue | undefined, path: readonly string[], leaf: string): JsonValue {
  const [first, ...rest] = path;
  if (first === undefined) return leaf;
  const object = (typeof value === 'object' && value !== null && !Array.isArray(value) ? value : {}) as {
    readonly [name: string]: JsonValue | undefined;
  };
  return { ...object, [first]: withValueAt(object[first], rest, leaf) };
}
