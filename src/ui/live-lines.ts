// Lines that are drawn over again where they stand: the cursor goes up by as many lines as were drawn before.
// Colour may be in them; their width is counted without it. Draws nothing that scrolls or clears the screen.

import type { LiveLines } from '../ports/terminal.ts';

const up = (lines: number) => (lines === 0 ? '' : `\u001b[${lines}A`);
const colourCode = /^\u001b\[\d+m/;
const endOfColour = '\u001b[0m';

/** The beginning that fits, colour codes not counted; a cut line ends with its colours off. */
function cut(line: string, columns: number): string {
  let text = '';
  let width = 0;
  for (let rest = line; rest !== ''; ) {
    const code = colourCode.exec(rest)?.[0];
    const part = code ?? String.fromCodePoint(rest.codePointAt(0)!);
    if (code === undefined && ++width > columns) return text.includes('\u001b') ? text + endOfColour : text;
    text += part;
    rest = rest.slice(part.length);
  }
  return text;
}

export function liveLines(write: (text: string) => void, columns: number): LiveLines {
  let drawn = 0;
  return {
    show(lines) {
      // One character short of the edge: a full line would make some terminals go on to the next.
      const body = lines.map((line) => `\r\u001b[K${cut(line, Math.max(1, columns - 1))}\n`).join('');
      write(`${up(drawn)}${body}`);
      drawn = Math.max(drawn, lines.length);
    },
    end() {
      drawn = 0;
    },
  };
}
