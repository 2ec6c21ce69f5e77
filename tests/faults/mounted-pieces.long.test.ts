// As mounted-faults.test.ts, for a firmware file in pieces on exFAT that is written anew, and is the only one: whatever step
// fails, its bytes are on the card or in a copy, nothing is called ready, and the same command on the sound card finishes.

import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { driveIds } from '../../src/card/drives/drive-id.ts';
import { run } from '../../src/commands/prepare.ts';
import { Failure } from '../../src/words/failure.ts';
import { imageName, testImage } from '../support/card-workspace.ts';
import { makeExfatBytes } from '../support/exfat-images.ts';
import { cardImage, type MountedBench, mountedBench, mountedRule } from '../support/mounted-bench.ts';
import { failing, isSafe } from '../support/mounted-fault.ts';

const photo = testImage(3000, 11);

function newBench(): MountedBench {
  let old: string | undefined;
  return mountedBench({
    rule: mountedRule.replace(/ }$/, ', contiguous: true }'),
    files: { [imageName]: cardImage, 'A.JPG': photo },
    answers: Array.from({ length: 4 }, () => ['Who is working?', 'R. Quill'] as const),
    device: (mountPoint) =>
      makeExfatBytes({
        sizeBytes: 2 * 1024 * 1024 + 64 * 512,
        startSector: 64,
        clusterBytes: 4096,
        files: readdirSync(mountPoint).map((name) => {
          // A number is given again once its file is gone.
          const { ino, birthtimeNs } = statSync(join(mountPoint, name), { bigint: true });
          const file = `${ino} ${birthtimeNs}`;
          if (name === imageName) old ??= file;
          const bytes = readFileSync(join(mountPoint, name));
          return { path: name, bytes, ...(file === old ? { chainedGap: 1 } : {}) };
        }),
      }),
  });
}

/** Without a download: the card's own file is the only source. */
const prepare = ({ context, card, state }: MountedBench, from?: string) =>
  run(context, [card], {
    for: 'rill-40',
    from,
    confirm: driveIds({ drives: [state.drive] }).get(state.drive.device) ?? '',
  });

/** Under whatever name it is on the card by then. */
const isImageSafe = (made: MountedBench) =>
  [imageName, ...readdirSync(made.card)].some((name) => isSafe(made, name, cardImage));

test.each(['once', 'dead'] as const)('the n-th step fails, %s', async (mode) => {
  let survived = false;
  for (let n = 1; !survived; n++) {
    expect(n).toBeLessThan(60);
    const made = newBench();
    try {
      const count = { at: 0 };
      made.state.wrap = (volume) => failing(volume, count, n, mode);
      try {
        const answer = await prepare(made);
        expect(answer.json.verdict === 'ready', `n = ${n}`).toBe(count.at < n);
      } catch (error) {
        if (!(error instanceof Failure)) throw error;
        expect([3, 5, 6], `n = ${n}`).toContain(error.facts.exit);
      }
      survived = count.at < n;
      expect(isSafe(made, 'A.JPG', photo), `n = ${n}`).toBe(true);
      expect(isImageSafe(made), `n = ${n}`).toBe(true);
      if (survived) expect(n).toBeGreaterThan(8);
      else {
        made.state.wrap = (volume) => volume;
        made.state.isMounted = true;
        let again: string;
        try {
          again = String((await prepare(made)).json.verdict);
        } catch (error) {
          // The file is gone from the card by now: its copy has to be named.
          if (!(error instanceof Failure)) throw error;
          expect(error.facts.code, `again after n = ${n}`).toBe('download-missing');
          again = String((await prepare(made, made.download)).json.verdict);
        }
        expect(again, `again after n = ${n}`).toBe('ready');
      }
      expect(readdirSync(made.card)).toEqual([imageName]);
      expect(readFileSync(join(made.card, imageName)).equals(cardImage)).toBe(true);
    } finally {
      made.close();
    }
  }
});
