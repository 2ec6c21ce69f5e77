// The near serials by looking at every one there is: the judge of the search by leaps. Slow, and shares nothing with it.

/** At most `limit` known serials, the likeliest kind of slip first, then by name. */
export function nearByForce(serial: string, known: Iterable<string>, limit = 3): string[] {
  const near: { candidate: string; rank: number }[] = [];
  for (const candidate of known) {
    const rank = slipRank(serial, candidate);
    if (rank !== undefined) near.push({ candidate, rank });
  }
  near.sort((a, b) => a.rank - b.rank || (a.candidate < b.candidate ? -1 : 1));
  return near.slice(0, limit).map(({ candidate }) => candidate);
}

/** 0: other capitals, 1: two swapped, 2: one wrong, 3: one missing or too many; undefined: equal or further off. */
function slipRank(typed: string, known: string): 0 | 1 | 2 | 3 | undefined {
  if (typed === known || Math.abs(typed.length - known.length) > 1) return undefined;
  const a = typed.toUpperCase();
  const b = known.toUpperCase();
  if (a === b) return 0;
  const start = commonStart(a, b);
  if (a.length === b.length) {
    if (a.slice(start + 1) === b.slice(start + 1)) return 2;
    const end = commonEnd(a, b);
    const last = a.length - 1 - end;
    const swapped = a[start] === b[last] && a[last] === b[start];
    return swapped && a.slice(start + 1, last) === b.slice(start + 1, last) ? 1 : undefined;
  }
  const [longer, shorter] = a.length > b.length ? [a, b] : [b, a];
  return longer.slice(start + 1) === shorter.slice(start) ? 3 : undefined;
}

function commonStart(a: string, b: string): number {
  let count = 0;
  while (count < a.length && count < b.length && a[count] === b[count]) count++;
  return count;
}

function commonEnd(a: string, b: string): number {
  let count = 0;
  while (count < a.length && count < b.length && a[a.length - 1 - count] === b[b.length - 1 - count]) count++;
  return count;
}
