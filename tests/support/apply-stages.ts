// Writes the stages of a plan to a card in memory, as a medium that never fails would: the image from `image`.

import type { WriteStage } from '../../src/card/card-write.ts';

export function applyStage(card: Uint8Array, stage: WriteStage, image: Uint8Array): void {
  if (stage.kind === 'sectors') {
    for (const write of stage.writes()) card.set(write.bytes, write.offsetBytes);
    return;
  }
  let done = 0;
  for (const run of stage.runs) {
    const part = new Uint8Array(run.lengthBytes);
    part.set(image.subarray(done, done + run.lengthBytes));
    card.set(part, run.offsetBytes);
    done += run.lengthBytes;
  }
}
