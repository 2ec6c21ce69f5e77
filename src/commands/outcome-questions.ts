// The questions about one outcome, each asked in one way wherever it is asked. Which of them matter is decided by
// whoever asks.

import { deferralReasons, failureCauses, leftStates, outcomeKinds } from '../fleet/plan-outcome.ts';
import type { Product } from '../manifest/schema.ts';
import type { Terminal } from '../ports/terminal.ts';
import type { Left, OutcomeKind } from '../record/unit-state.ts';
import { requireText } from './option-text.ts';

const plain = <T extends string>(values: readonly T[]) => values.map((value) => ({ value, label: value }));

export function askOutcome(terminal: Terminal): Promise<OutcomeKind> {
  return terminal.choose('What was the outcome?', plain(outcomeKinds), 'OUTCOME');
}

export async function askVersionRead(terminal: Terminal): Promise<string> {
  const version = await terminal.text('Which version does the unit show?', '--version-read VERSION');
  return requireText(version, '--version-read', 64);
}

export function askReason(terminal: Terminal): Promise<string> {
  return terminal.choose('Why was it deferred?', plain(deferralReasons), '--reason REASON');
}

/** undefined: not known. */
export function askCause(terminal: Terminal): Promise<string | undefined> {
  const none = { value: undefined, label: 'not known' };
  return terminal.choose<string | undefined>(
    'What did it fail on?',
    [...plain(failureCauses), none],
    '--cause CAUSE',
  );
}

export function askLeft(terminal: Terminal): Promise<Left> {
  return terminal.choose('How was the unit left?', plain(leftStates), '--left HOW');
}

/** undefined: not seen. */
export function askLights(terminal: Terminal, patterns: Product['patterns']): Promise<string | undefined> {
  const seen = patterns.map(({ id, means }) => ({
    value: id as string | undefined,
    label: `${id}: ${means}`,
  }));
  const none = { value: undefined, label: 'the lights were not seen' };
  return terminal.choose('What did its lights show?', [...seen, none], '--lights PATTERN');
}

const nothing = '-';

/** What may be left out: `-`, or Enter where nothing else is suggested, says that there is nothing. */
export async function askMay(
  terminal: Terminal,
  question: string,
  flag: string,
  longest: number,
  suggestion = nothing,
): Promise<string | undefined> {
  const answer = await terminal.text(`${question} (- for none)`, flag, suggestion);
  return answer.trim() === nothing ? undefined : requireText(answer, flag, longest);
}
