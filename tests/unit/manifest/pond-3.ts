// A small sound product for tests of faults: 35 lines, each with its number, so that a place can be counted by
// hand. Its warnings are those of what ought to be there: source, checkedBy, serves, whileBusy.

export const pondLines: readonly string[] = [
  /*  1 */ 'manifest: product',
  /*  2 */ 'format: 1',
  /*  3 */ 'id: pond-3',
  /*  4 */ 'maker: Tarnholt',
  /*  5 */ 'name: Pond 3 test drive',
  /*  6 */ 'hazards: [mains-ac]',
  /*  7 */ 'hardware: [A, B]',
  /*  8 */ "serial: { pattern: '^TP[0-9]{6}$' }",
  /*  9 */ 'versions: dotted',
  /* 10 */ 'card:',
  /* 11 */ '  fileSystems: [fat16]',
  /* 12 */ '  partitionTables: [mbr]',
  /* 13 */ '  capacity: { min: 16MB, max: 2GB }',
  /* 14 */ 'lights:',
  /* 15 */ '  - { id: run, label: RUN, colour: green }',
  /* 16 */ '  - { id: duo, label: DUO, colour: [green, red] }',
  /* 17 */ 'patterns:',
  /* 18 */ '  - { id: busy, means: Writing, busy: true, shows: { run: { burst: 2, pause: 1s } } }',
  /* 19 */ '  - { id: good, means: Done, shows: { run: on } }',
  /* 20 */ '  - { id: bad, means: Refused, shows: { duo: { perMinute: 60, colour: red } } }',
  /* 21 */ 'positions:',
  /* 22 */ '  card: { states: [out, in], starts: out, ends: out }',
  /* 23 */ 'procedure:',
  /* 24 */ '  - { id: insert, do: Put the card in, sets: { card: in } }',
  /* 25 */ '  - id: look',
  /* 26 */ '    watch: { busy: look, good: out, bad: out-bad }',
  /* 27 */ '    within: 5min',
  /* 28 */ '    late: stay',
  /* 29 */ '    unlisted: stay',
  /* 30 */ '  - { id: out, do: Take the card out, sets: { card: out } }',
  /* 31 */ '  - { id: done, end: updated }',
  /* 32 */ '  - { id: out-bad, do: Take the card out, sets: { card: out } }',
  /* 33 */ '  - { id: failed, end: failed }',
  /* 34 */ '  - { id: stay, do: Call the helpline }',
  /* 35 */ '  - { id: left, end: failed, leaves: { card: in } }',
];

export const pondReleaseLines: readonly string[] = [
  /*  1 */ 'manifest: release',
  /*  2 */ 'format: 1',
  /*  3 */ 'product: pond-3',
  /*  4 */ 'version: 4.10',
  /*  5 */ 'sequence: 7',
  /*  6 */ 'issued: 2026-10-01',
  /*  7 */ 'priority: required',
  /*  8 */ 'due: 2026-12-15',
  /*  9 */ 'hardware: [A]',
  /* 10 */ 'from: { atLeast: 3.8, below: 4.10 }',
  /* 11 */ 'image:',
  /* 12 */ '  name: POND3.BIN',
  /* 13 */ '  bytes: 4096',
  /* 14 */ '  digests:',
  /* 15 */ `    sha256: ${'0123456789abcdef'.repeat(4)}`,
];

/** The text with some lines (counted from 1) written otherwise; a text of several lines takes their place. */
export function rewritten(lines: readonly string[], changes: Readonly<Record<number, string>> = {}): string {
  return `${lines.map((line, i) => changes[i + 1] ?? line).join('\n')}\n`;
}

export const pond = (changes?: Readonly<Record<number, string>>): string => rewritten(pondLines, changes);
export const pondRelease = (changes?: Readonly<Record<number, string>>): string =>
  rewritten(pondReleaseLines, changes);
