// Pattern lists as OpenSSH writes them (ssh_config(5), PATTERNS): parts between commas, `*` for any number of characters,
// `?` for one, `!` before a part that must not match. Compares letters as they are.

/** A part with `!` that matches decides against all others. */
export function matchesPatternList(text: string, list: string): boolean {
  let matches = false;
  for (const part of list.split(',')) {
    const isNegated = part.startsWith('!');
    if (!matchesPattern(text, isNegated ? part.slice(1) : part)) continue;
    if (isNegated) return false;
    matches = true;
  }
  return matches;
}

/** In time of the product of both lengths at most: only the last `*` is ever gone back to. */
export function matchesPattern(text: string, pattern: string): boolean {
  let at = 0;
  let inPattern = 0;
  let star = -1;
  let afterStar = 0;
  while (at < text.length) {
    const one = pattern[inPattern];
    if (one === '*') {
      star = inPattern++;
      afterStar = at;
    } else if (one !== undefined && (one === '?' || one === text[at])) {
      at += 1;
      inPattern += 1;
    } else if (star >= 0) {
      inPattern = star + 1;
      at = ++afterStar;
    } else return false;
  }
  while (pattern[inPattern] === '*') inPattern += 1;
  return inPattern === pattern.length;
}
