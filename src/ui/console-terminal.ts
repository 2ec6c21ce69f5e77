// The Terminal port on a real terminal, with inquirer, which is loaded only when a question is asked. Without
// a terminal, or with --no-input, each question is a Failure that names the option to give.

import type { Terminal } from '../ports/terminal.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import { fitWidth } from './fit-width.ts';
import { liveLines } from './live-lines.ts';
import { noProgress, startProgress } from './progress-line.ts';
import { questionLine } from './question-line.ts';

export interface ConsoleFacts {
  /** Asked for only when it matters: a stream costs time to open. */
  readonly canAsk: () => boolean;
  readonly errorIsTerminal: () => boolean;
  readonly columns: number;
  readonly colour: boolean;
  /** It knows only plain lines (TERM=dumb). */
  readonly plain?: boolean;
  readonly writeError: (text: string) => void;
  readonly now: () => number;
}

function missing(question: string, option: string): Failure {
  return new Failure({
    code: 'answer-missing',
    exit: 2,
    summary: `An answer is missing: ${question.replace(/[?:]\s*$/, '')}.`,
    expected: option,
    next: `Give it as ${option}, or run the command at a terminal without --no-input.`,
  });
}

/** Ctrl-C at a question: nothing was changed by the question itself. */
function stopped(): Failure {
  return new Failure({
    code: 'stopped',
    exit: 130,
    summary: 'Stopped at the question; nothing more was done.',
    next: 'Run the same command again when you are ready.',
  });
}

async function asked<T>(answer: Promise<T>): Promise<T> {
  try {
    return await answer;
  } catch (error) {
    if (!(error instanceof Error) || error.name !== 'ExitPromptError') throw error;
    throw stopped();
  }
}

export function consoleTerminal(facts: ConsoleFacts): Terminal {
  const prompts = async (question: string, option: string) => {
    if (!facts.canAsk()) throw missing(question, option);
    return (await import('inquirer')).default;
  };
  const output = process.stderr;

  return {
    get interactive() {
      return facts.canAsk();
    },
    columns: facts.columns,
    colour: facts.colour,
    notice: (line) => facts.writeError(`${facts.errorIsTerminal() ? fitWidth(line, facts.columns) : line}\n`),
    progress: (phase, unit) =>
      facts.errorIsTerminal()
        ? startProgress(facts.writeError, facts.now, facts.columns, phase, unit)
        : noProgress,
    get live() {
      if (!facts.errorIsTerminal() || facts.plain === true) return undefined;
      return () => liveLines(facts.writeError, facts.columns);
    },

    async choose(question, choices, option) {
      const inquirer = await prompts(question, option);
      const { answer } = await asked(
        inquirer.createPromptModule({ output })<{ answer: number }>([
          {
            type: 'select',
            name: 'answer',
            message: questionLine(question, facts.columns),
            choices: choices.map((choice, index) => ({ name: printable(choice.label), value: index })),
          },
        ]),
      );
      const chosen = choices[answer];
      if (chosen === undefined) throw missing(question, option);
      return chosen.value;
    },

    async text(question, option, suggestion) {
      const inquirer = await prompts(question, option);
      const { answer } = await asked(
        inquirer.createPromptModule({ output })<{ answer: string }>([
          {
            type: 'input',
            name: 'answer',
            message: questionLine(question, facts.columns),
            ...(suggestion === undefined ? {} : { default: suggestion }),
            validate: (value: string) => value.trim() !== '' || 'An answer is needed; Ctrl-C leaves.',
          },
        ]),
      );
      return answer.trim();
    },

    async key(choices, option, running) {
      if (!facts.canAsk()) throw missing(choices.map(({ label }) => label).join(', or '), option);
      const { readKey } = await import('./key-prompt.ts');
      const from = {
        keyboard: process.stdin,
        write: facts.writeError,
        now: facts.now,
        columns: facts.columns,
      };
      const answer = await readKey(from, choices, running);
      if (answer.kind === 'left') throw stopped();
      return answer.value;
    },

    async confirm(question, option) {
      const inquirer = await prompts(question, option);
      const { answer } = await asked(
        inquirer.createPromptModule({ output })<{ answer: boolean }>([
          { type: 'confirm', name: 'answer', message: questionLine(question, facts.columns), default: false },
        ]),
      );
      return answer;
    },
  };
}
