// One look at a card with a digest over everything that was read for it: boot sectors, tables, every folder. Two
// looks with the same digest saw the same card, so a plan made from the first holds for the second.

import { startDigests } from '../bytes/digests.ts';
import { examineCard } from '../card/look/examine-card.ts';
import type { ExaminedCard } from '../card/look/examined-card.ts';
import type { BlockReader } from '../ports/blocks.ts';

export interface Look {
  readonly card: ExaminedCard;
  /** SHA-256 over what was read, place by place, lower-case hex. */
  readonly seen: string;
}

export async function lookAtCard(blocks: BlockReader): Promise<Look> {
  const run = await startDigests(['sha256']);
  const place = new Float64Array(2);
  const watched: BlockReader = {
    sizeBytes: blocks.sizeBytes,
    sectorBytes: blocks.sectorBytes,
    read(offsetBytes, target) {
      blocks.read(offsetBytes, target);
      place.set([offsetBytes, target.length]);
      run.update(new Uint8Array(place.buffer.slice(0)));
      run.update(target);
    },
  };
  const card = examineCard(watched);
  return { card, seen: run.finish().sha256 ?? '' };
}
