// A packet's lines in their order, its counts and its digest. Every byte is under the digest of the last line, and that
// line has one spelling alone, so a packet with one wrong byte does not come to its end here. What a packet says is
// believed only once its end was reached: whoever takes anything in has read it to the end before. Holds one line.

import { type Line, LineTooLong } from '../../bytes/lines.ts';
import { startSha256 } from '../../bytes/sha256.ts';
import { printable } from '../../words/printable.ts';
import { PacketFault } from './packet-fault.ts';
import { decodeLine, encodeEnd, type PacketLine } from './packet-lines.ts';

/** An entry of the longest text, or a manifest full of what JSON must escape, is shorter. */
export const maxLineBytes = 4 * 2 ** 20;
export const maxManifests = 5000;
export const maxChains = 10_000;

const order = ['header', 'manifest', 'entry', 'mark', 'end'] as const;

export type PacketPart = Exclude<PacketLine, { kind: 'newer' }> & {
  /** Counted from 1. */
  readonly line: number;
};

export function* readPacket(lines: Iterable<Line>): Generator<PacketPart> {
  const digest = startSha256();
  // A byte order mark is a wrong byte like any other.
  const decoder = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
  const counts = { header: 0, manifest: 0, mark: 0, entry: 0, end: 0 };
  let reached = 0;
  let number = 0;
  for (const { bytes, isEnded } of bounded(lines)) {
    number += 1;
    const where = `line ${number}`;
    if (counts.end > 0)
      throw new PacketFault('packet-damaged', 'Something stands after the end of the packet.', { where });
    const text = textOf(decoder, bytes, where, number);
    const line = decodeLine(text);
    if (line === undefined || (number === 1 && line.kind !== 'header' && line.kind !== 'newer')) {
      throw isEnded || number === 1 ? unread(text, where, number) : cutShort(where);
    }
    if (line.kind === 'newer') {
      throw new PacketFault('packet-newer', 'A newer version of slotproof has packed this.', {
        seen: `packet format ${line.format}`,
        expected: '1',
        where,
      });
    }
    if (!isEnded) throw cutShort(where);
    const place = order.indexOf(line.kind);
    counts[line.kind] += 1;
    const { kind } = line;
    if (place < reached || (kind === 'header' && counts.header > 1)) {
      throw new PacketFault('packet-damaged', 'The lines of the packet are not in their order.', { where });
    }
    if (counts.manifest > maxManifests || counts.mark > maxChains) {
      throw new PacketFault('packet-unsound', 'The packet holds more than any firm has.', { where });
    }
    reached = place;
    if (line.kind === 'end') {
      const { manifest: manifests, mark: marks, entry: entries } = counts;
      if (encodeEnd({ manifests, marks, entries, sha256: digest.hex() }) !== text) {
        throw new PacketFault('packet-damaged', 'The packet is not as it was packed: its digest differs.', {
          where,
        });
      }
    } else {
      digest.update(bytes);
      digest.update('\n');
    }
    yield { ...line, line: number };
  }
  if (number === 0) throw new PacketFault('not-a-packet', 'The file is empty.');
  if (counts.end === 0) throw cutShort(`after line ${number}`);
}

function* bounded(lines: Iterable<Line>): Generator<Line> {
  try {
    yield* lines;
  } catch (error) {
    if (!(error instanceof LineTooLong)) throw error;
    throw new PacketFault('not-a-packet', 'A line is longer than any line of a packet.');
  }
}

function textOf(
  decoder: InstanceType<typeof TextDecoder>,
  bytes: Uint8Array,
  where: string,
  number: number,
): string {
  try {
    return decoder.decode(bytes);
  } catch {
    throw number === 1
      ? new PacketFault('not-a-packet', 'This file is not a packet of slotproof.')
      : new PacketFault('packet-damaged', 'A line of the packet is no text.', { where });
  }
}

function unread(text: string, where: string, number: number): PacketFault {
  const seen = printable(text, 60);
  return number === 1
    ? new PacketFault('not-a-packet', 'This file is not a packet of slotproof.', { seen })
    : new PacketFault('packet-damaged', 'A line of the packet cannot be read.', { seen, where });
}

function cutShort(where: string): PacketFault {
  return new PacketFault('packet-cut-short', 'The packet is cut short: its end is missing.', { where });
}
