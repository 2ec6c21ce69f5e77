// The exit codes, each with one meaning, as the help texts print them.

export const exitCode = {
  done: 0,
  bug: 1,
  wrongUse: 2,
  no: 3,
  inPart: 4,
  refused: 5,
  cardFailed: 6,
  recordUnusable: 7,
  stopped: 130,
} as const;

export type ExitCode = (typeof exitCode)[keyof typeof exitCode];

export const exitMeaning: Record<ExitCode, string> = {
  0: 'done; the answer is yes',
  1: 'a bug in the tool',
  2: 'wrong use, or bad input',
  3: 'it ran, and the answer is no',
  4: 'done in part',
  5: 'refused for safety',
  6: 'the card or drive failed',
  7: 'the record cannot be used',
  130: 'stopped by the person',
};
