// Writes the stages of a plan to a card image file, as a medium that never fails would: the image from `image`.

import { closeSync, openSync, writeSync } from 'node:fs';
import type { WriteStage } from '../../src/card/card-write.ts';

function writesOf(stage: WriteStage, image: Uint8Array) {
  if (stage.kind === 'sectors') return stage.writes();
  let done = 0;
  return stage.runs.map(({ offsetBytes, lengthBytes }) => {
    const bytes = new Uint8Array(lengthBytes);
    bytes.set(image.subarray(done, done + lengthBytes));
    done += lengthBytes;
    return { offsetBytes, bytes };
  });
}

export function applyStages(path: string, stages: readonly WriteStage[], image: Uint8Array): void {
  const handle = openSync(path, 'r+');
  for (const stage of stages) {
    for (const { offsetBytes, bytes } of writesOf(stage, image))
      writeSync(handle, bytes, 0, bytes.length, offsetBytes);
  }
  closeSync(handle);
}
