// Makes text from cards, archives, tables and manifests safe to print: no control characters, no terminal
// escapes, no marks that reverse the reading direction, bounded in length. It does not escape for HTML.

const unsafe =
  /[\u0000-\u001f\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff\ufff9-\ufffb]|\p{Surrogate}/gu;

/** One line, control and direction characters shown as `\xNN` or `\uNNNN`, at most `maxLength` characters. */
export function printable(text: string, maxLength = 200): string {
  const cut = text.length > maxLength ? `${text.slice(0, maxLength - 1)}…` : text;
  return cut.replace(unsafe, (character) => {
    const code = character.charCodeAt(0);
    return code < 0x100
      ? `\\x${code.toString(16).padStart(2, '0')}`
      : `\\u${code.toString(16).padStart(4, '0')}`;
  });
}
