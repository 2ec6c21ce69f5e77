// Breaks plain text into lines for a terminal or a printed page. Counts characters, not bytes; a word longer
// than the line is left whole, since a cut path or digest is worse than a long line; so is an object of JSON, since
// a line break within one of its strings would be copied with it.

/** From its brace to the one that ends a word; blanks may stand in between. Bounded: texts come from outside too. */
export const objectOfJson = String.raw`\{".{0,1000}?\}[.,;:]?(?=\s|$)`;

const words = new RegExp(`${objectOfJson}|\\S+`, 'g');

export function wrap(text: string, width: number, indent = '', firstIndent = indent): string {
  const lines: string[] = [];
  let line = firstIndent;
  let empty = true;
  for (const word of text.match(words) ?? []) {
    if (!empty && [...line].length + 1 + [...word].length > width) {
      lines.push(line);
      line = indent + word;
    } else {
      line += empty ? word : ` ${word}`;
    }
    empty = false;
  }
  lines.push(line);
  return lines.join('\n');
}
