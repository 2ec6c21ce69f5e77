// `completion SHELL`: a script that a shell reads to complete the tool's commands, options and their values. Made from the
// table of commands; prints it, and puts it nowhere by itself.

import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { Run } from './command.ts';
import { bashScript } from './completion/bash-script.ts';
import { completionWords } from './completion/completion-words.ts';
import { fishScript } from './completion/fish-script.ts';
import { zshScript } from './completion/zsh-script.ts';
import { anywhere } from './table/anywhere.ts';
import { shells } from './table/shells.ts';
import { commandTable, groupSummaries } from './table.ts';

const scripts = { bash: bashScript, zsh: zshScript, fish: fishScript } as const;

export const run: Run = async (_context, [given = '']) => {
  const shell = shells.find((name) => name === given.toLowerCase());
  if (shell === undefined) throw unknownShell(given);
  const words = completionWords({ commands: commandTable, groups: groupSummaries, anywhere });
  const script = scripts[shell](words);
  return { exit: 0, json: { shell, script }, text: script.trimEnd(), isData: true };
};

function unknownShell(given: string): Failure {
  return new Failure({
    code: 'shell-unknown',
    exit: 2,
    summary: 'There is no completion for this shell.',
    seen: printable(given, 40),
    expected: shells.join(', '),
    next: 'Give one of these. See slotproof completion --help.',
  });
}
