// The short name that a person writes on a card's label. Letters, figures and dashes alone, in capitals: what is written
// by hand with a felt pen and read over a telephone.

const nameForm = /^[A-Z0-9](?:[A-Z0-9-]{0,10}[A-Z0-9])?$/;

/** As typed, in any case; undefined: it is no name of a card. */
export function readCardName(typed: string): string | undefined {
  const name = typed.trim().toUpperCase();
  return nameForm.test(name) ? name : undefined;
}

/** The lowest free one of those that begin as the laptop does, so that two laptops never give out the same. */
export function nextCardName(laptop: string, taken: ReadonlySet<string>): string {
  const lead = laptop.slice(0, 2).toUpperCase();
  for (let number = 1; ; number++) {
    const name = `${lead}-${String(number).padStart(2, '0')}`;
    if (!taken.has(name)) return name;
  }
}
