// Colour for the terminal. Colour never carries meaning alone: every painted text also says it in words.

export type Colour = 'red' | 'yellow' | 'green' | 'bold' | 'dim';

const codes: Record<Colour, readonly [number, number]> = {
  red: [31, 39],
  yellow: [33, 39],
  green: [32, 39],
  bold: [1, 22],
  dim: [2, 22],
};

export function paint(text: string, colour: Colour, enabled: boolean): string {
  const [on, off] = codes[colour];
  return enabled ? `\u001b[${on}m${text}\u001b[${off}m` : text;
}

/** Whether to colour: never with --no-color or NO_COLOR (any value but empty), never where it is no terminal. */
export function wantsColour(
  environment: Readonly<Record<string, string | undefined>>,
  isTerminal: boolean,
  noColourOption: boolean,
): boolean {
  return isTerminal && !noColourOption && !environment.NO_COLOR && environment.TERM !== 'dumb';
}
