// A text as one word of a shell: in single quotes, in which nothing is read as anything else.

export function quoted(text: string): string {
  return `'${text.replaceAll("'", "'\\''")}'`;
}

/** The same for fish, where a backslash counts within single quotes. */
export function fishQuoted(text: string): string {
  return `'${text.replaceAll('\\', '\\\\').replaceAll("'", "\\'")}'`;
}
