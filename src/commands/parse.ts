// Arguments to a command and its options, with commander, from the table. Every wrong use becomes a Failure;
// help is text that the caller prints. Runs nothing.

import { Command, CommanderError, Option } from 'commander';
import { type ExitCode, exitMeaning } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { wrap } from '../words/wrap.ts';
import type { CommandSpec, OptionSpec, OptionValues } from './command.ts';
import { anywhere } from './table/anywhere.ts';
import { commandTable, groupSummaries } from './table.ts';

export interface GlobalOptions {
  readonly workspace?: string;
  readonly json: boolean;
  readonly input: boolean;
  readonly color: boolean;
  readonly as?: string;
}

export type Parsed =
  | { readonly kind: 'help'; readonly command: string | null; readonly text: string }
  | { readonly kind: 'version'; readonly command: null }
  | {
      readonly kind: 'run';
      readonly command: string;
      readonly spec: CommandSpec;
      readonly positionals: readonly (string | undefined)[];
      readonly options: OptionValues;
      readonly globals: GlobalOptions;
    };

function exitLines(codes: readonly ExitCode[]): string {
  const all = [...new Set<ExitCode>([0, 2, ...codes])].sort((a, b) => a - b);
  return ['Exit codes:', ...all.map((code) => `  ${String(code).padEnd(4)}${exitMeaning[code]}`)].join('\n');
}

const anywhereNames = anywhere.map((option) => option.flags.split(' ')[0]).join(' ');

/** Plain lines are one text, broken where the window ends; what is indented is to be typed as it stands. */
function notesText(notes: readonly string[], columns: number): string {
  const parts: string[] = [];
  for (const line of notes) {
    const before = parts.at(-1);
    if (line.startsWith(' ') || before === undefined || before.startsWith(' ')) parts.push(line);
    else parts[parts.length - 1] = `${before} ${line}`;
  }
  return parts.map((part) => (part.startsWith(' ') ? part : wrap(part, columns))).join('\n');
}

function helpAfter(spec: CommandSpec, columns: number): string {
  const examples = ['Examples:', ...spec.examples.map((example) => `  ${example}`)].join('\n');
  const notes = spec.notes === undefined ? '' : `\n\n${notesText(spec.notes, Math.min(columns, 100))}`;
  return `\n${examples}${notes}\n\n${exitLines(spec.exits)}\n\nAnywhere: ${anywhereNames}\n(slotproof --help explains these)`;
}

const everyExit = Object.keys(exitMeaning)
  .map((code) => Number(code) as ExitCode)
  .filter((code) => code !== 2 && code !== 0);

const rootAfter = `
Start with \`slotproof demo\`: the whole job in seconds, your files untouched.

${exitLines(everyExit)}`;

function optionOf(option: OptionSpec): Option {
  const made = new Option(option.flags, option.summary);
  if (option.repeats) made.argParser((value: string, before?: string[]) => [...(before ?? []), value]);
  return option.choices ? made.choices([...option.choices]) : made;
}

function addCommand(
  parent: Command,
  spec: CommandSpec,
  { isNamed, columns }: { readonly isNamed: boolean; readonly columns: number },
  onRun: (positionals: unknown[], options: OptionValues) => void,
) {
  const name = spec.name.split(' ').at(-1) ?? spec.name;
  const command = parent.command(name).description(spec.summary);
  for (const positional of spec.positionals) command.argument(positional.name, positional.summary);
  // The others are only listed, and what is only listed needs no options.
  if (!isNamed) return;
  for (const option of spec.options) command.addOption(optionOf(option));
  command.addHelpText('after', helpAfter(spec, columns));
  command.action((...given: unknown[]) => onRun(given.slice(0, -2), given.at(-2) as OptionValues));
}

/** Capital letter, full stop, and no `error:` before it: commander's sentence in our form. */
function sentence(message: string): string {
  const text = message.replace(/^error:\s*/i, '').trim();
  const first = text.split('\n')[0] ?? text;
  return `${first.charAt(0).toUpperCase()}${first.slice(1)}${/[.?!]$/.test(first) ? '' : '.'}`;
}

function wrongUse(error: CommanderError, command: string | null): Failure {
  const suggestion = /\(Did you mean (.+)\?\)/.exec(error.message)?.[1];
  const help = `slotproof ${command === null ? '' : `${command} `}--help`;
  return new Failure({
    code: error.code.replace(/^commander\./, '').replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`),
    exit: 2,
    summary: sentence(error.message),
    next: suggestion === undefined ? `See ${help}.` : `Did you mean ${suggestion}? See ${help}.`,
  });
}

/** Options that take a value and may stand before the command. */
const withValue = new Set(
  anywhere.filter(({ flags }) => flags.includes('<')).map(({ flags }) => flags.split(' ')[0]),
);

/** What may name a command: no options, and none of the values of those that stand anywhere. */
function commandWords(argv: readonly string[]): string[] {
  return argv.filter((argument, at) => !argument.startsWith('-') && !withValue.has(argv[at - 1] ?? ''));
}

function commandNamed(argv: readonly string[]): string | null {
  const words = commandWords(argv);
  const named = commandTable.find(
    (spec) => spec.name === words[0] || spec.name === `${words[0]} ${words[1]}`,
  );
  return named?.name ?? null;
}

export function parse(argv: readonly string[], columns: number): Parsed {
  let help = '';
  let parsed: Parsed | undefined;
  const program = new Command('slotproof')
    .description(
      'Prepares, proves and tracks firmware updates that are carried to equipment on a memory card.',
    )
    .exitOverride()
    .configureOutput({
      writeOut: (text) => {
        help += text;
      },
      writeErr: () => {},
      getOutHelpWidth: () => Math.min(columns, 100),
      getErrHelpWidth: () => Math.min(columns, 100),
    })
    .helpOption('-h, --help', 'show help')
    .helpCommand('help [command]', 'show help')
    .addHelpText('after', rootAfter);
  for (const option of anywhere) program.addOption(optionOf(option));
  const groups = new Map<string, Command>();
  const words = commandWords(argv);

  for (const spec of commandTable) {
    const [group, member] = spec.name.split(' ') as [string, string | undefined];
    let parent = program;
    if (member !== undefined) {
      parent = groups.get(group) ?? program.command(group).description(groupSummaries[group] ?? '');
      groups.set(group, parent);
    }
    const isNamed = words[0] === group || words[0] === 'help';
    addCommand(parent, spec, { isNamed, columns }, (positionals, options) => {
      parsed = {
        kind: 'run',
        command: spec.name,
        spec,
        positionals: positionals.flat() as (string | undefined)[],
        options,
        globals: program.opts<GlobalOptions & Record<string, unknown>>(),
      };
    });
  }

  const command = commandNamed(argv);
  const group = words.find((word) => groups.has(word));
  const first = argv.find((argument) => !argument.startsWith('--json') && !argument.startsWith('--no-'));
  if (first === '--version' || first === '-V') return { kind: 'version', command: null };
  try {
    program.parse([...argv], { from: 'user' });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    // `--help` and `help` come as help asked for; a group or the program alone as help in place of an error.
    if (error.code === 'commander.helpDisplayed' || (error.code === 'commander.help' && help !== '')) {
      return { kind: 'help', command, text: help.trimEnd() };
    }
    if (error.code === 'commander.help') {
      throw new Failure({
        code: 'command-missing',
        exit: 2,
        summary: 'Which command?',
        next: group
          ? `See slotproof ${group} --help.`
          : 'See slotproof --help, or start with slotproof demo.',
      });
    }
    throw wrongUse(error, command ?? (words[0] === group ? (group ?? null) : null));
  }
  if (parsed === undefined) throw new Error('commander ended without a command, help or an error');
  return parsed;
}
