// Carries the stages of a plan out: writes, then flushes, stage by stage. Knows nothing of file systems; what
// holds when it is interrupted between two writes is the plan's work (see DEVELOPERS.md).

import type { ByteRun, CardWrite, WriteStage } from '../card/card-write.ts';
import type { Blocks } from '../ports/blocks.ts';
import { Failure } from '../words/failure.ts';
import { formatBytes } from '../words/size.ts';

/** The image's bytes, in order; a chunk's memory may be used again for the next one. */
export type ImageBytes = () => AsyncIterable<Uint8Array>;

export interface StageProgress {
  readonly stage: WriteStage['name'];
  readonly doneBytes: number;
  readonly totalBytes: number;
}

const bufferBytes = 2 ** 20;
/** What may lie in the computer's memory alone before it is on its way to the card. */
const unflushedBytes = 32 * 2 ** 20;

/** Cuts a stream of chunks into pieces that fill the runs, the last filled up with zeros. */
class RunFiller {
  readonly #runs: readonly ByteRun[];
  readonly #buffer = new Uint8Array(bufferBytes);
  #filled = 0;
  #run = 0;
  #within = 0;

  constructor(runs: readonly ByteRun[]) {
    this.#runs = runs;
  }

  /** Bytes that the piece now being filled may have at most. */
  #pieceBytes(): number {
    const run = this.#runs[this.#run];
    return run === undefined ? 0 : Math.min(bufferBytes, run.lengthBytes - this.#within);
  }

  #take(): CardWrite {
    const length = this.#filled;
    const run = this.#runs[this.#run];
    const offsetBytes = (run?.offsetBytes ?? 0) + this.#within;
    this.#within += length;
    this.#filled = 0;
    if (this.#within === run?.lengthBytes) {
      this.#run++;
      this.#within = 0;
    }
    return { offsetBytes, bytes: this.#buffer.subarray(0, length) };
  }

  *put(chunk: Uint8Array): Iterable<CardWrite> {
    for (let done = 0; done < chunk.length; ) {
      const wanted = this.#pieceBytes();
      if (wanted === 0) throw new RangeError('more bytes than the image has');
      // A chunk that is just what is wanted goes to the card without a copy.
      if (this.#filled === 0 && chunk.length - done >= wanted) {
        this.#filled = wanted;
        yield { ...this.#take(), bytes: chunk.subarray(done, done + wanted) };
        done += wanted;
        continue;
      }
      const length = Math.min(wanted - this.#filled, chunk.length - done);
      this.#buffer.set(chunk.subarray(done, done + length), this.#filled);
      this.#filled += length;
      done += length;
      if (this.#filled === wanted) yield this.#take();
    }
  }

  *end(): Iterable<CardWrite> {
    while (this.#run < this.#runs.length) {
      const wanted = this.#pieceBytes();
      this.#buffer.fill(0, this.#filled, wanted);
      this.#filled = wanted;
      yield this.#take();
    }
  }
}

function otherLength(seenBytes: number, stage: WriteStage & { kind: 'image' }): Failure {
  return new Failure({
    code: 'digest-mismatch',
    exit: 3,
    summary: 'The firmware file changed its length while it was being used.',
    seen: `${formatBytes(seenBytes)} bytes`,
    expected: `${formatBytes(stage.imageBytes)} bytes`,
    next: 'Verify it again: slotproof verify FILE',
  });
}

async function* writeImage(
  blocks: Blocks,
  stage: WriteStage & { kind: 'image' },
  image: ImageBytes,
): AsyncGenerator<StageProgress> {
  const filler = new RunFiller(stage.runs);
  let doneBytes = 0;
  let begunBytes = 0;
  let begun: Promise<void> | undefined;
  const progress = () => ({ stage: stage.name, doneBytes, totalBytes: stage.imageBytes });
  for await (const chunk of image()) {
    if (doneBytes + chunk.length > stage.imageBytes) throw otherLength(doneBytes + chunk.length, stage);
    for (const write of filler.put(chunk)) blocks.write(write.offsetBytes, write.bytes);
    doneBytes += chunk.length;
    if (doneBytes - begunBytes >= unflushedBytes) {
      begunBytes = doneBytes;
      await begun;
      begun = blocks.flushSoon?.();
      // Told where it is awaited; until then something else may end the run.
      begun?.catch(() => {});
    }
    yield progress();
  }
  if (doneBytes !== stage.imageBytes) throw otherLength(doneBytes, stage);
  for (const write of filler.end()) blocks.write(write.offsetBytes, write.bytes);
  await begun;
}

/** Those writes of a stage that the card does not give back as they were written. */
function* writesLost(blocks: Blocks, stage: WriteStage & { kind: 'sectors' }): Iterable<CardWrite> {
  for (const write of stage.writes()) {
    const seen = new Uint8Array(write.bytes.length);
    blocks.read(write.offsetBytes, seen);
    if (Buffer.compare(seen, write.bytes) !== 0) yield write;
  }
}

/**
 * A later stage may give up what this one has put in a safe place: so it must really be there. A wrong bit in a folder
 * or a FAT can hide files that stay on the card: what was lost is written once more, and the card refused all the same.
 */
function requireKeptByCard(blocks: Blocks, stage: WriteStage & { kind: 'sectors' }): void {
  let first: CardWrite | undefined;
  for (const write of writesLost(blocks, stage)) {
    first ??= write;
    blocks.write(write.offsetBytes, write.bytes);
  }
  if (first === undefined) return;
  blocks.flush();
  throw new Failure({
    code: 'write-lost',
    exit: 6,
    summary: 'The card does not hold what was written to it.',
    where: `byte ${formatBytes(first.offsetBytes)}`,
    next: 'Take another card.',
  });
}

/** Writes and flushes one stage; all but the image is compared at once. Yields while the image is written. */
export async function* writeStage(
  blocks: Blocks,
  stage: WriteStage,
  image: ImageBytes,
): AsyncGenerator<StageProgress> {
  if (stage.kind === 'image') {
    yield* writeImage(blocks, stage, image);
    blocks.flush();
    return;
  }
  for (const write of stage.writes()) blocks.write(write.offsetBytes, write.bytes);
  blocks.flush();
  requireKeptByCard(blocks, stage);
}
