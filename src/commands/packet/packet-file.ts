// A packet's file as `record take-in` goes through it: its first line, then all of it once, entry by entry, and its
// manifests once more when all was proved. Takes nothing in; stops where the file changes under its hands.

import { linesOf } from '../../bytes/lines.ts';
import { sha256Hex } from '../../bytes/sha256.ts';
import type { ProvedEntry } from '../../ports/record-rules.ts';
import { bodyFault } from '../../record/entry-schema.ts';
import { type CheckedPacket, checkedEntries } from '../../record/packet/check-packet.ts';
import { PacketFault } from '../../record/packet/packet-fault.ts';
import { encodeManifest, type PacketHeader, type PacketManifest } from '../../record/packet/packet-lines.ts';
import { maxLineBytes, readPacket } from '../../record/packet/read-packet.ts';
import { Failure } from '../../words/failure.ts';
import { chunksWithProgress } from '../chunks-with-progress.ts';
import type { Context } from '../context.ts';

export class PacketFile {
  readonly #context: Pick<Context, 'files' | 'terminal'>;
  readonly #path: string;
  readonly #stamp: string | undefined;
  #checked: CheckedPacket | undefined;

  constructor(context: Pick<Context, 'files' | 'terminal'>, path: string) {
    this.#context = context;
    this.#path = path;
    this.#stamp = context.files.facts(path)?.stamp;
  }

  /** Of the first line alone: of the rest nothing is known yet. */
  header(): PacketHeader {
    for (const part of readPacket(linesOf(this.#context.files.chunks(this.#path), maxLineBytes))) {
      if (part.kind === 'header') return part.header;
      break;
    }
    throw new PacketFault('not-a-packet', 'This file is not a packet of slotproof.');
  }

  /** To be believed once the last was given, which only a packet that is whole and sound comes to; else a PacketFault. */
  *entries(phase: string): Generator<ProvedEntry> {
    const chunks = chunksWithProgress(this.#context, this.#path, phase);
    this.#checked = yield* checkedEntries(linesOf(chunks, maxLineBytes), bodyFault);
  }

  /** What the packet is, once `entries` has come to its end. */
  checked(): CheckedPacket {
    if (this.#checked === undefined) throw new Error('the packet was not read to its end');
    return this.#checked;
  }

  /** Read once more from the start of the file; each is the one that was proved. */
  *manifests(): Generator<PacketManifest> {
    const proved = this.checked().manifests;
    if (proved.length === 0) return;
    let count = 0;
    try {
      for (const part of readPacket(linesOf(this.#context.files.chunks(this.#path), maxLineBytes))) {
        if (part.kind === 'header') continue;
        if (part.kind !== 'manifest') break;
        if (sha256Hex(encodeManifest(part.manifest)) !== proved[count]) throw this.#changed();
        count += 1;
        yield part.manifest;
      }
    } catch (error) {
      throw error instanceof PacketFault ? this.#changed() : error;
    }
    if (count !== proved.length) throw this.#changed();
  }

  requireUnchanged(): void {
    if (this.#context.files.facts(this.#path)?.stamp !== this.#stamp) throw this.#changed();
  }

  #changed(): Failure {
    return new Failure({
      code: 'packet-changed',
      exit: 6,
      summary: 'The packet changed while it was read. Its entries were whole and are in the record.',
      where: this.#path,
      next: 'Copy it to this computer, then take it in again: nothing counts twice.',
    });
  }
}
