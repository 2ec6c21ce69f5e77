// Which known names a mistyped one may have meant. Suggests only; never takes a near name for the right one.

const maxLength = 64;

/** Up to `count` of `known`, nearest first; empty where none is near enough to be a slip of the fingers. */
export function nearNames(typed: string, known: Iterable<string>, count = 3): string[] {
  const wanted = typed.slice(0, maxLength).toLowerCase();
  const near: { name: string; distance: number }[] = [];
  for (const name of known) {
    const other = name.slice(0, maxLength).toLowerCase();
    const distance = hasWords(other, wanted) ? 0.5 : editDistance(wanted, other);
    if (distance <= Math.max(1, Math.floor(wanted.length / 3))) near.push({ name, distance });
  }
  near.sort((a, b) => a.distance - b.distance || (a.name < b.name ? -1 : 1));
  return near.slice(0, count).map((one) => one.name);
}

/** Typed in part: `alder` of `Alder Farm`, `rill` of `rill-40`. */
function hasWords(name: string, typed: string): boolean {
  if (typed.length < 3 || typed === name) return false;
  for (let at = name.indexOf(typed); at >= 0; at = name.indexOf(typed, at + 1)) {
    const around = `${name[at - 1] ?? ' '}${name[at + typed.length] ?? ' '}`;
    if (!/[\p{L}\p{N}]/u.test(around)) return true;
  }
  return false;
}

/** Single characters put in, left out, changed, or two neighbours swapped. */
function editDistance(a: string, b: string): number {
  let before: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = a[i - 1] === b[j - 1] ? 0 : 1;
      let best = Math.min(last[j]! + 1, row[j - 1]! + 1, last[j - 1]! + change);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        best = Math.min(best, before[j - 2]! + 1);
      }
      row.push(best);
    }
    before = last;
    last = row;
  }
  return last[b.length]!;
}
