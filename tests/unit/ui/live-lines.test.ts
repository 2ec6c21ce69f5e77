// Lines that are drawn over where they stand, judged by a small terminal of the test's own.

import { expect, test } from 'vitest';
import { liveLines } from '../../../src/ui/live-lines.ts';

/** Understands what is needed here: up, return, clear to the end of the line, colour, line feed. */
function screen() {
  const rows: string[][] = [[]];
  let row = 0;
  let column = 0;
  const write = (text: string) => {
    for (let rest = text; rest !== ''; ) {
      const code = /^\u001b\[(\d*)([A-Za-z])/.exec(rest);
      if (code !== null) {
        if (code[2] === 'A') row -= Number(code[1]);
        else if (code[2] === 'K') rows[row]!.length = column;
        else if (code[2] !== 'm') throw new Error(`unknown code ${code[2]}`);
        if (row < 0) throw new Error('above the screen');
        rest = rest.slice(code[0].length);
        continue;
      }
      const character = rest[0]!;
      if (character === '\r') column = 0;
      else if (character === '\n') {
        row += 1;
        column = 0;
        rows[row] ??= [];
      } else {
        rows[row]![column] = character;
        column += 1;
      }
      rest = rest.slice(1);
    }
  };
  return { write, lines: () => rows.map((characters) => characters.join('')) };
}

test('drawn over, not below; what stood before stays', () => {
  const terminal = screen();
  terminal.write('before\n');
  const live = liveLines(terminal.write, 40);
  live.show(['one', 'two, the longer line']);
  live.show(['1', '2']);
  live.show(['a', 'b', 'c']);
  live.end();
  terminal.write('after\n');
  expect(terminal.lines()).toEqual(['before', 'a', 'b', 'c', 'after', '']);
});

test('every line is cut below the width, colours not counted, and a cut colour ends', () => {
  const written: string[] = [];
  const live = liveLines((text) => void written.push(text), 6);
  live.show(['abcdefgh', '\u001b[32mabcdefgh\u001b[39m', '\u001b[32mabc\u001b[39m']);
  expect(written.join('').split('\n')).toEqual([
    '\r\u001b[Kabcde',
    '\r\u001b[K\u001b[32mabcde\u001b[0m',
    '\r\u001b[K\u001b[32mabc\u001b[39m',
    '',
  ]);
});
