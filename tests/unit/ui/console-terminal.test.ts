// What the tool says on the way, at a terminal and to a file.

import { expect, test } from 'vitest';
import { consoleTerminal } from '../../../src/ui/console-terminal.ts';

function noticed(line: string, errorIsTerminal: boolean): string {
  let written = '';
  const terminal = consoleTerminal({
    canAsk: () => false,
    errorIsTerminal: () => errorIsTerminal,
    columns: 20,
    colour: false,
    writeError: (text) => {
      written += text;
    },
    now: () => 0,
  });
  terminal.notice(line);
  return written;
}

test('lines of one notice stay lines of their own, and blank ones stay', () => {
  const lines = 'VISIT TO A\nFirmware 2.6.0\n\n  Every answer is kept at once.';
  expect(noticed(lines, true)).toBe('VISIT TO A\nFirmware 2.6.0\n\n  Every answer is\n    kept at once.\n');
  expect(noticed(lines, false)).toBe(`${lines}\n`);
});
