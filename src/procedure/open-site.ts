// Who opened a site, where a manifest marks steps `oncePerSite`: worked out from the steps that were done at its units,
// in the order in which they were done. Asks for no record and no clock; whether the site looks so is seen on site.

import type { Product } from '../manifest/schema.ts';
import { sharedSteps } from '../manifest/shared-steps.ts';

/**
 * The last of `done` that came before the first unit, if nothing that comes after the last one was done since;
 * undefined: the site is not open. `done`: steps of the procedure, by `step` the manifest's id, oldest first.
 */
export function openerOf<Done extends { readonly step: string }>(
  product: Product,
  done: Iterable<Done>,
): Done | undefined {
  const { opening, closing } = sharedSteps(product);
  const last = opening.at(-1);
  let opener: Done | undefined;
  for (const one of done) {
    if (one.step === last) opener = one;
    if (closing.includes(one.step)) opener = undefined;
  }
  return opener;
}
