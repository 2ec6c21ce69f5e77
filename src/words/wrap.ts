// Breaks plain text into lines for a terminal or a printed page. Counts characters, not bytes; a word longer
// than the line is left whole, since a cut path or digest is worse than a long line.

export function wrap(text: string, width: number, indent = '', firstIndent = indent): string {
  const lines: string[] = [];
  let line = firstIndent;
  let empty = true;
  for (const word of text.split(/\s+/).filter(Boolean)) {
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
