// A query as it is kept: its text, and the names of its values in the order in which they are handed over. The
// definitions are written with Kysely; the tool itself runs the texts, so that no command loads Kysely.

import type { Compilable, InferResult } from 'kysely';

export interface NamedQuery {
  readonly sql: string;
  /** A name may come twice. */
  readonly names: readonly string[];
}

/** The rows that each of some definitions gives. */
export type RowsOf<Definitions extends Record<string, Compilable<unknown>>> = {
  [Name in keyof Definitions]: InferResult<Definitions[Name]>[number];
};

class NamedValue {
  readonly name: string;
  constructor(name: string) {
    this.name = name;
  }
}

/** Where a value will stand; the text is compiled with its place only. */
export function value<T>(name: string): T {
  return new NamedValue(name) as unknown as T;
}

/** Compiled for the engine that each definition was made with. */
export function namedQueries(definitions: Record<string, Compilable<unknown>>): Record<string, NamedQuery> {
  return Object.fromEntries(
    Object.entries(definitions).map(([name, definition]) => {
      const { sql, parameters } = definition.compile();
      const names = parameters.map((parameter) => {
        if (parameter instanceof NamedValue) return parameter.name;
        throw new TypeError(`${name}: a value stands in the definition itself`);
      });
      return [name, { sql, names }];
    }),
  );
}
