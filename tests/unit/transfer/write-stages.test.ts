// How the image's chunks are cut to the runs that it goes into, by comparing with the plain concatenation.

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ByteRun, WriteStage } from '../../../src/card/card-write.ts';
import { writeStage } from '../../../src/transfer/write-stages.ts';
import { firmwareBytes } from '../../support/card-rule.ts';
import { memoryBlocks } from '../../support/memory-blocks.ts';
import { checkSeeded } from '../../support/seeded.ts';

async function* chunked(bytes: Uint8Array, sizes: readonly number[]) {
  // One piece of memory for all chunks, as real sources do.
  const memory = new Uint8Array(Math.max(1, ...sizes));
  for (let done = 0, i = 0; done < bytes.length; i++) {
    const length = Math.min(sizes[i % sizes.length] ?? 1, bytes.length - done);
    memory.set(bytes.subarray(done, done + length));
    yield memory.subarray(0, length);
    done += length;
  }
}

async function write(stage: WriteStage, card: Uint8Array, image: Uint8Array, sizes: readonly number[]) {
  const done: number[] = [];
  for await (const step of writeStage(memoryBlocks(card), stage, () => chunked(image, sizes)))
    done.push(step.doneBytes);
  return done;
}

describe('the image', () => {
  it('fills its runs in order and the rest with zeros, however it is cut', async () => {
    const property = fc.asyncProperty(
      fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 5 }),
      fc.array(fc.integer({ min: 1, max: 1500 }), { minLength: 1, maxLength: 6 }),
      fc.nat(511),
      async (clusters, sizes, shortBy) => {
        let offsetBytes = 0;
        const runs = clusters.map((count): ByteRun => {
          const run = { offsetBytes: offsetBytes + 512, lengthBytes: count * 512 };
          offsetBytes = run.offsetBytes + run.lengthBytes;
          return run;
        });
        const whole = runs.reduce((sum, run) => sum + run.lengthBytes, 0);
        const image = firmwareBytes(whole - shortBy, 5);
        const card = new Uint8Array(offsetBytes + 512).fill(0xee);
        await write({ kind: 'image', name: 'image', runs, imageBytes: image.length }, card, image, sizes);
        const read = Buffer.concat(
          runs.map((run) => card.subarray(run.offsetBytes, run.offsetBytes + run.lengthBytes)),
        );
        expect(read.subarray(0, image.length).equals(image)).toBe(true);
        expect(read.subarray(image.length).every((byte) => byte === 0)).toBe(true);
        // Nothing beside the runs is touched.
        expect(card.subarray(0, 512).every((byte) => byte === 0xee)).toBe(true);
        expect(card.subarray(offsetBytes).every((byte) => byte === 0xee)).toBe(true);
      },
    );
    await checkSeeded('tests/unit/transfer/write-stages.test.ts', 300, property);
  });

  it.each([-1, 1])('is refused where its length is another by %d', async (by) => {
    const stage: WriteStage = {
      kind: 'image',
      name: 'image',
      runs: [{ offsetBytes: 0, lengthBytes: 1024 }],
      imageBytes: 700,
    };
    const attempt = write(stage, new Uint8Array(1024), firmwareBytes(700 + by), [100]);
    await expect(attempt).rejects.toMatchObject({ facts: { code: 'digest-mismatch', exit: 3 } });
  });
});

it('notices at once what the card did not keep', async () => {
  const bytes = new Uint8Array(512).fill(1);
  const stage: WriteStage = {
    kind: 'sectors',
    name: 'enter',
    totalBytes: 512,
    writes: () => [{ offsetBytes: 512, bytes }],
  };
  const card = memoryBlocks(new Uint8Array(2048));
  for await (const _ of writeStage(card, stage, () => chunked(bytes, [1])));
  expect(card.bytes.subarray(512, 1024)).toEqual(bytes);
  const forgetful = { ...card, write: () => {} };
  card.bytes.fill(0);
  await expect(writeStage(forgetful, stage, () => chunked(bytes, [1])).next()).rejects.toMatchObject({
    facts: { code: 'write-lost', exit: 6 },
  });
});

describe('what goes to the medium while more is written', () => {
  const stage = (bytes: number): WriteStage => ({
    kind: 'image',
    name: 'image',
    runs: [{ offsetBytes: 0, lengthBytes: bytes }],
    imageBytes: bytes,
  });
  const size = 72 * 2 ** 20;
  const image = async function* () {
    for (let done = 0; done < size; done += 2 ** 20) yield new Uint8Array(2 ** 20);
  };
  const card = (did: string[], flushSoon: () => Promise<void>) => ({
    ...memoryBlocks(new Uint8Array(512)),
    sizeBytes: size,
    write: () => {},
    flush: () => void did.push('flushed'),
    flushSoon,
  });

  it('is begun each 32 MiB, one at a time, and waited for before the flush', async () => {
    const did: string[] = [];
    const slow = async () => {
      did.push('begun');
      await new Promise((resolve) => setImmediate(resolve));
      did.push('there');
    };
    for await (const _ of writeStage(card(did, slow), stage(size), image));
    expect(did).toEqual(['begun', 'there', 'begun', 'there', 'flushed']);
  });

  it('fails where it fails: the flush after it would not be told of it', async () => {
    for (const failing of [1, 2]) {
      const did: string[] = [];
      let count = 0;
      const fails = async () => {
        count++;
        if (count === failing) throw new Error('the card is gone');
      };
      const run = async () => {
        for await (const _ of writeStage(card(did, fails), stage(size), image));
      };
      await expect(run(), `the ${failing}. time`).rejects.toThrow('the card is gone');
      expect(did).toEqual([]);
    }
  });
});
