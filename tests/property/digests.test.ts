// The digests of a file do not depend on how it is cut into chunks.

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { crc32 } from '../../src/bytes/crc32.ts';
import { digestKinds, digestsOf, startDigests } from '../../src/bytes/digests.ts';

const cut = fc.tuple(fc.uint8Array({ maxLength: 3000 }), fc.array(fc.nat(3000), { maxLength: 12 }));

function pieces(bytes: Uint8Array, cuts: readonly number[]): Uint8Array[] {
  const at = [0, ...cuts.filter((place) => place <= bytes.length).sort((a, b) => a - b), bytes.length];
  return at.slice(1).map((end, i) => bytes.subarray(at[i], end));
}

it('whatever the chunks', async () => {
  await fc.assert(
    fc.asyncProperty(cut, async ([bytes, cuts]) => {
      const run = await startDigests(digestKinds);
      for (const piece of pieces(bytes, cuts)) run.update(piece);
      expect(run.finish()).toEqual(await digestsOf(bytes, digestKinds));
    }),
  );
});

it('crc32 goes on from where it was', () => {
  fc.assert(
    fc.property(cut, ([bytes, cuts]) => {
      let value = 0;
      for (const piece of pieces(bytes, cuts)) value = crc32(piece, value);
      return value === crc32(bytes);
    }),
  );
});

it('chunks out of order are told', async () => {
  const [a, b] = [new Uint8Array([1, 2]), new Uint8Array([3])];
  const run = await startDigests(digestKinds);
  run.update(b);
  run.update(a);
  const swapped = run.finish();
  const straight = await digestsOf(new Uint8Array([1, 2, 3]), digestKinds);
  for (const kind of digestKinds) expect(swapped[kind]).not.toBe(straight[kind]);
});
