// Where people stand in entries: who typed, who did the work, who led on site, who was told there, whom to call. What is
// typed as free text may name anybody; that cannot be known, and is said. One list for what is told and what is replaced.

import type { Entry, JsonValue } from '../../ports/record-store.ts';
import { counted } from '../../words/counted.ts';
import { printable } from '../../words/printable.ts';

type Body = Entry['body'];

/** What is written where nobody was named. */
const nobody = 'not said';

export interface PersonPlace {
  readonly path: readonly string[];
  readonly name: string;
  /** One of the firm, or of a customer. */
  readonly of: 'firm' | 'site';
}

/** Names that stand in fields of their own in a body, of known kinds and of any other that uses the same words. */
export function peopleIn(body: Body): PersonPlace[] {
  const found: PersonPlace[] = [];
  const add = (path: readonly string[], of: PersonPlace['of']) => {
    const name = valueAt(body, path);
    if (typeof name === 'string' && name !== '' && name !== nobody) found.push({ path, name, of });
  };
  add(['told'], 'site');
  add(['details', 'contact'], 'site');
  if (body.step === 'lead') add(['facts', 'name'], 'firm');
  if (body.step === 'told') add(['facts', 'name'], 'site');
  const inner = body.body;
  if (isObject(inner)) {
    for (const place of peopleIn(inner)) found.push({ ...place, path: ['body', ...place.path] });
  }
  return found;
}

function valueAt(value: JsonValue | undefined, path: readonly string[]): JsonValue | undefined {
  let at = value;
  for (const name of path) at = isObject(at) ? at[name] : undefined;
  return at;
}

const isObject = (value: unknown): value is { readonly [name: string]: JsonValue | undefined } =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** Enough to tell; a firm has fewer, and memory is bounded. */
const mostNames = 10_000;

export interface People {
  readonly firm: ReadonlySet<string>;
  readonly site: ReadonlySet<string>;
}

export function collectPeople(): { look(entry: Entry): void; people: People } {
  const firm = new Set<string>();
  const site = new Set<string>();
  const add = (names: Set<string>, name: string) => {
    if (name !== nobody && names.size < mostNames) names.add(name);
  };
  return {
    people: { firm, site },
    look(entry) {
      add(firm, entry.typedBy);
      add(firm, entry.doneBy);
      for (const { name, of } of peopleIn(entry.body)) add(of === 'firm' ? firm : site, name);
    },
  };
}

/** `3 names of people who worked or typed (M. Tansy, R. Quill and 1 more), 2 of people at sites`. */
export function peopleText({ firm, site }: People): string {
  if (firm.size === 0 && site.size === 0) return 'no names of people in fields of their own';
  const shown = [...firm].sort().slice(0, 5);
  const more = firm.size - shown.length;
  const list = shown.map((name) => printable(name, 80)).join(', ');
  return [
    firm.size === 0
      ? undefined
      : `${counted(firm.size, 'name')} of people who worked or typed (${list}${more > 0 ? ` and ${more} more` : ''})`,
    site.size === 0 ? undefined : `${counted(site.size, 'name')} or ways to reach people at sites`,
  ]
    .filter((part) => part !== undefined)
    .join(', ');
}
