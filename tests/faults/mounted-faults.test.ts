// The n-th step of a card's file system fails, for n = 1, 2, 3 … until a run survives: alone, or together with all that
// come after it. Whatever was done by then, no file of a person is lost, nothing is called ready, and the same command on
// the same card, sound again, finishes.

import { readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { driveIds } from '../../src/card/drives/drive-id.ts';
import { run } from '../../src/commands/prepare.ts';
import { Failure } from '../../src/words/failure.ts';
import { imageName, testImage } from '../support/card-workspace.ts';
import { cardImage, type MountedBench, mountedBench } from '../support/mounted-bench.ts';
import { failing, isSafe } from '../support/mounted-fault.ts';

const photo = testImage(3000, 11);
const old = testImage(9000, 5);
const answers = [
  ['Who is working?', 'R. Quill'],
  ['Who is working?', 'R. Quill'],
] as const;
const newBench = () =>
  mountedBench({
    files: { 'DCIM/A.JPG': photo, '.DS_Store': 'x', [imageName]: old, 'OLD/.keep': '' },
    answers,
  });

const prepare = ({ context, card, download, state }: MountedBench) =>
  run(context, [card], {
    for: 'rill-40',
    from: download,
    confirm: driveIds({ drives: [state.drive] }).get(state.drive.device) ?? '',
  });

test.each(['once', 'dead'] as const)(
  'the n-th step fails, %s',
  async (mode) => {
    let survived = false;
    for (let n = 1; !survived; n++) {
      expect(n).toBeLessThan(60);
      const made = newBench();
      try {
        const count = { at: 0 };
        made.state.wrap = (volume) => failing(volume, count, n, mode);
        let exit: number;
        try {
          const answer = await prepare(made);
          exit = answer.exit;
          expect(answer.json.verdict === 'ready', `n = ${n}`).toBe(count.at < n);
        } catch (error) {
          if (!(error instanceof Failure)) throw error;
          exit = error.facts.exit;
          expect(error.facts.summary, `n = ${n}`).toMatch(/not changed|as they were|not ready/);
          if (/not changed|as they were/.test(error.facts.summary)) {
            expect(readFileSync(join(made.card, imageName)).equals(old), `n = ${n}`).toBe(true);
          }
        }
        survived = count.at < n;
        expect(survived ? [0] : [3, 5, 6], `n = ${n}`).toContain(exit);
        expect(isSafe(made, 'DCIM/A.JPG', photo), `n = ${n}`).toBe(true);
        expect(isSafe(made, imageName, old), `n = ${n}`).toBe(true);
        if (survived) expect(n).toBeGreaterThan(10);
        made.state.wrap = (volume) => volume;
        made.state.isMounted = true;
        if (!survived) expect((await prepare(made)).json.verdict, `again after n = ${n}`).toBe('ready');
        expect(readdirSync(made.card)).toEqual([imageName]);
        expect(readFileSync(join(made.card, imageName)).equals(cardImage)).toBe(true);
      } finally {
        made.close();
      }
    }
  },
  60_000,
);

test('the judge sees a file that was lost, and one that was changed', () => {
  const made = newBench();
  try {
    const place = join(made.card, 'DCIM/A.JPG');
    expect(isSafe(made, 'DCIM/A.JPG', photo)).toBe(true);
    writeFileSync(place, photo.subarray(1));
    expect(isSafe(made, 'DCIM/A.JPG', photo)).toBe(false);
    rmSync(place);
    expect(isSafe(made, 'DCIM/A.JPG', photo)).toBe(false);
  } finally {
    made.close();
  }
});
