// What languages put together in the same way from words of their own: a number and what it counts, a span of time, a
// list; and the alphabet in which people spell to each other over the telephone, whatever they speak.

/** Holds what must not be parted at the end of a line: a number and its unit, STEP and its number. */
export const glue = '\u00a0';

/** `figure`: a number as the language writes it: `0.4` or `0,4`. */
export function spanOfTime(seconds: number, figure: (value: number) => string = String): string {
  if (seconds < 120 && seconds % 60 !== 0) return `${figure(Number(seconds.toFixed(1)))}${glue}s`;
  const whole = Math.ceil(seconds);
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor((whole % 3600) / 60);
  const rest = whole % 60;
  const parts = [
    hours > 0 ? `${hours}${glue}h` : '',
    minutes > 0 ? `${minutes}${glue}min` : '',
    rest > 0 ? `${rest}${glue}s` : '',
  ];
  return parts.filter(Boolean).join(glue);
}

/** Figures with a comma for the decimals: `0,4`. */
export function withComma(value: number): string {
  return String(value).replace('.', ',');
}

/** `a`, `a and b`, `a, b and c`. */
export function listWith(items: readonly string[], last: string): string {
  if (items.length < 2) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} ${last} ${items[items.length - 1]}`;
}

/** Those characters that a code for the telephone can have, in the international spelling alphabet. */
export const internationalSpelling: Readonly<Record<string, string>> = {
  C: 'Charlie',
  D: 'Delta',
  F: 'Foxtrot',
  H: 'Hotel',
  J: 'Juliett',
  K: 'Kilo',
  L: 'Lima',
  M: 'Mike',
  N: 'November',
  P: 'Papa',
  R: 'Romeo',
  T: 'Tango',
  V: 'Victor',
  W: 'Whiskey',
  X: 'X-ray',
  Y: 'Yankee',
};
