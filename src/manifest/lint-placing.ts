// Positions and states wherever a manifest names them together: in needs, sets, leaves, never and whileBusy.

import { type Fault, type Path, unknownName } from './fault.ts';
import type { Placing, Product } from './schema.ts';

export function lintPlacing(product: Product, at: Path, placing: Placing): Fault[] {
  const faults: Fault[] = [];
  for (const [id, state] of Object.entries(placing)) {
    const position = product.positions[id];
    if (position === undefined) {
      faults.push(unknownName([...at, id], 'position', id, Object.keys(product.positions), true));
    } else if (!position.states.includes(state)) {
      faults.push(unknownName([...at, id], `state of ${id}`, state, position.states));
    }
  }
  return faults;
}
