// Which scenarios of the tier on a real kernel are played: all, or those that a person names. Plays none.

/** `SLOTPROOF_CARD=usb-pulled` plays that one alone; several with commas between. undefined: all. */
const asked = process.env.SLOTPROOF_CARD?.split(',').map((name) => name.trim());

/** Not where some were chosen: what is asked of all of them together cannot be answered then. */
export const allArePlayed = asked === undefined;

export function chosenScenarios<Of extends { readonly name: string }>(all: readonly Of[]): readonly Of[] {
  return all.filter(({ name }) => asked === undefined || asked.includes(name));
}
