// A person at the terminal who answers as the test says, in order: each answer names a part of the question it
// is meant for. A question nobody expected, and an answer nobody asked for, fail the test.

import type { Context } from '../../src/commands/context.ts';
import { compose } from '../../src/compose.ts';
import type { Terminal } from '../../src/ports/terminal.ts';
import { Failure } from '../../src/words/failure.ts';
import { testHost } from './test-host.ts';

/** In place of an answer: the person leaves. */
export const ctrlC = 'Ctrl-C';

export type ScriptedAnswer = readonly [question: string, answer: string | boolean];

export interface ScriptedPerson {
  readonly context: Context;
  readonly notices: string[];
  close(): void;
  requireAllAsked(): void;
}

export function scriptedPerson(workspace: string, answers: readonly ScriptedAnswer[]): ScriptedPerson {
  const left = [...answers];
  const notices: string[] = [];
  const next = (question: string) => {
    const [part, answer] = left.shift() ?? ['', undefined];
    if (answer === undefined || !question.includes(part))
      throw new Error(`unexpected: "${question}", not "${part}"`);
    if (answer === ctrlC)
      throw new Failure({ code: 'stopped', exit: 130, summary: 'Stopped.', next: 'Go on.' });
    return answer;
  };
  const terminal: Terminal = {
    interactive: true,
    columns: 80,
    colour: false,
    notice: (line) => void notices.push(line),
    progress: () => ({ at: () => {}, end: () => {} }),
    async choose(question, choices) {
      const answer = next(question);
      const choice = choices.find(({ label }) => label === answer || label.startsWith(`${answer}:`));
      if (choice === undefined)
        throw new Error(`not on the list: ${answer}; ${choices.map(({ label }) => label)}`);
      return choice.value;
    },
    text: async (question) => String(next(question)),
    key: async (choices) => {
      const answer = next(choices.map(({ label }) => label).join(', '));
      const choice = choices.find(({ key }) => key === answer);
      if (choice === undefined) throw new Error(`no such key: ${answer}`);
      return choice.value;
    },
    confirm: async (question) => next(question) === true,
  };
  const composed = compose(testHost(), { workspace, json: false, input: true, color: false });
  const context = Object.create(composed.context, {
    terminal: { value: terminal },
    requireTypedBy: { value: () => terminal.text('Who is working?', '--as NAME') },
  }) as Context;
  return {
    context,
    notices,
    close: () => composed.close(),
    requireAllAsked() {
      if (left.length > 0) throw new Error(`not asked: ${left.map(([part]) => part)}`);
    },
  };
}
