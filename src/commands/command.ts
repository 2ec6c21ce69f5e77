// What a command is: a row of the table that help, parsing and completion are made from, and a run function
// whose code is loaded only when the command is called.

import type { ExitCode } from '../words/exit-code.ts';
import type { Context } from './context.ts';

export interface OptionSpec {
  /** As commander takes it: `--for <release>`, `--fresh`, `--unit <serial...>`. */
  readonly flags: string;
  readonly summary: string;
  /** Allowed values, where there is a list. */
  readonly choices?: readonly string[];
  /** May be given several times, one value each; arrives as a list. */
  readonly repeats?: true;
}

export interface PositionalSpec {
  readonly name: string;
  readonly summary: string;
  /** What a shell offers there; the command itself judges what it is given. */
  readonly offers?: readonly string[];
}

export interface Answer {
  readonly exit: ExitCode;
  /** The fields of the one JSON object; `command` is added. Paths absolute. */
  readonly json: Readonly<Record<string, unknown>>;
  /** The same for people, without a trailing newline; the most important line last. */
  readonly text: string;
  /** The text is data (a table, a schema, SQL): never broken where a window ends. */
  readonly isData?: true;
}

/** Options as parsed: strings, booleans, or lists where the flag repeats. Camel-case names. */
export type OptionValues = Readonly<Record<string, string | boolean | readonly string[] | undefined>>;

export type Run = (
  context: Context,
  positionals: readonly (string | undefined)[],
  options: OptionValues,
) => Promise<Answer>;

export interface CommandSpec {
  /** `prepare`, or `units import` for a command within a group. */
  readonly name: string;
  readonly summary: string;
  /** As commander takes them: `<file>`, `[card]`, `<path...>` (a list arrives as several positionals). */
  readonly positionals: readonly PositionalSpec[];
  readonly options: readonly OptionSpec[];
  /** Exit codes beyond 0, 1 and 2 that this command can end with, for its help. */
  readonly exits: readonly ExitCode[];
  readonly examples: readonly string[];
  /** Further lines for its help: the form of a file it reads. */
  readonly notes?: readonly string[];
  readonly load: () => Promise<{ readonly run: Run }>;
}
