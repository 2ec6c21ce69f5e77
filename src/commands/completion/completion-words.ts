// What a shell may offer after `slotproof`, from the table of commands: which words lead to which command, which options
// it has, and which values they take. What no list names (files, serials, releases) a shell completes as a file's name.

import type { CommandSpec, OptionSpec } from '../command.ts';

/** A word that may stand there, and what it is for. */
export interface Offer {
  readonly word: string;
  readonly summary: string;
}

export interface OptionWords extends Offer {
  readonly takesValue: boolean;
  /** Empty: the value is a file's name, or free. */
  readonly values: readonly string[];
}

/** One place in the tree of commands: '' at its root, a group, or a command. */
export interface CommandWords {
  readonly path: string;
  /** What leads further down; empty at a command. */
  readonly members: readonly Offer[];
  readonly options: readonly OptionWords[];
  /** Besides files. */
  readonly offers: readonly string[];
}

export interface CompletionTable {
  readonly commands: readonly CommandSpec[];
  readonly groups: Readonly<Record<string, string>>;
  readonly anywhere: readonly OptionSpec[];
}

const help: OptionWords = { word: '--help', summary: 'show help', takesValue: false, values: [] };
const version: OptionWords = {
  word: '--version',
  summary: 'show the version',
  takesValue: false,
  values: [],
};

/** In the order of the table; the root first. */
export function completionWords({ commands, groups, anywhere }: CompletionTable): CommandWords[] {
  const everywhere = [...anywhere.map(optionWords), help];
  const firsts = new Map<string, string>();
  for (const { name, summary } of commands) {
    const [first = '', second] = name.split(' ');
    firsts.set(first, second === undefined ? summary : (groups[first] ?? ''));
  }
  const root: CommandWords = {
    path: '',
    members: [...firsts].map(([word, summary]) => ({ word, summary })),
    options: [...everywhere, version],
    offers: [],
  };
  const inGroups = Object.keys(groups).map((group): CommandWords => {
    const members = commands
      .filter(({ name }) => name.startsWith(`${group} `))
      .map(({ name, summary }) => ({ word: name.slice(group.length + 1), summary }));
    return { path: group, members, options: everywhere, offers: [] };
  });
  const single = commands.map(
    ({ name, options, positionals }): CommandWords => ({
      path: name,
      members: [],
      options: [...options.map(optionWords), ...everywhere],
      offers: positionals.flatMap(({ offers = [] }) => offers),
    }),
  );
  return [root, ...inGroups, ...single];
}

function optionWords({ flags, summary, choices = [] }: OptionSpec): OptionWords {
  const [word = '', value] = flags.split(' ');
  return { word, summary, takesValue: value !== undefined, values: choices };
}
