// Breaks text into lines that never exceed a width in columns: a page of paper cannot be scrolled, so a word
// longer than the line is cut, unlike on a terminal. Wide characters count two columns, combining marks none.
// A no-break space holds together what stands around it; the page shows it as a plain one.
// Does not make text safe to print: what it is given has been through `printable` before.

const wide =
  /[\u1100-\u115f\u2e80-\u303e\u3041-\ua4cf\ua960-\ua97c\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\uffe0-\uffe6\u{1b000}-\u{1b2ff}\u{1f000}-\u{1faff}\u{20000}-\u{3fffd}]/u;
const combining = /\p{Mark}/u;

function columnsOf(character: string): number {
  if (character < '\u0300') return 1;
  if (combining.test(character)) return 0;
  return wide.test(character) ? 2 : 1;
}

export function columnWidth(text: string): number {
  let columns = 0;
  for (const character of text) columns += columnsOf(character);
  return columns;
}

/** The longest beginning that fits, and the rest; at least one character is taken, so that it always ends. */
function cutWord(word: string, room: number): [string, string] {
  let taken = '';
  let columns = 0;
  for (const character of word) {
    columns += columnsOf(character);
    if (columns > room && taken !== '') break;
    taken += character;
  }
  return [taken, word.slice(taken.length)];
}

/** Lines of at most `width` columns; never empty: no text gives one empty line. */
export function fold(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  let columns = 0;
  const end = () => {
    lines.push(line);
    line = '';
    columns = 0;
  };
  for (const whole of text.split(/[ \t\r\n]+/)) {
    let word = whole;
    if (word === '') continue;
    const gap = line === '' ? 0 : 1;
    if (gap === 1 && columns + gap + columnWidth(word) > width) end();
    while (line === '' && columnWidth(word) > width) {
      const [head, rest] = cutWord(word, width);
      line = head;
      end();
      word = rest;
    }
    if (word === '') continue;
    line += line === '' ? word : ` ${word}`;
    columns = columnWidth(line);
  }
  if (line !== '' || lines.length === 0) lines.push(line);
  return lines;
}

/** Folded under a first line that begins with `lead`; the lines after it stand below the text, not the lead. */
export function foldAfter(lead: string, text: string, width: number): string[] {
  const leadColumns = columnWidth(lead);
  const [first = '', ...rest] = fold(text, width - leadColumns);
  return [`${lead}${first}`.trimEnd(), ...rest.map((line) => `${' '.repeat(leadColumns)}${line}`)];
}

/** Filled up with blanks to `width` columns; text that is longer stays as it is. */
export function padColumns(text: string, width: number): string {
  return text + ' '.repeat(Math.max(0, width - columnWidth(text)));
}
