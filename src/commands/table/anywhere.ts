// The options that stand anywhere, before or after a command: names and help texts only.

import type { OptionSpec } from '../command.ts';

export const anywhere: readonly OptionSpec[] = [
  {
    flags: '--workspace <dir>',
    summary: "where everything is kept (or SLOTPROOF_WORKSPACE; else the user's data folder)",
  },
  { flags: '--json', summary: 'one JSON object on standard output' },
  { flags: '--no-input', summary: 'never ask; a missing answer is an error that names its option' },
  { flags: '--no-color', summary: 'no colour (or NO_COLOR)' },
  { flags: '--as <name>', summary: 'who types' },
];
