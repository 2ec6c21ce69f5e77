// Writes a packet line after line, with its counts and its digest. Decides nothing of what is in it.

import { startSha256 } from '../../bytes/sha256.ts';
import type { NewFile } from '../../ports/files.ts';
import type { SealedEntry } from '../../ports/record-rules.ts';
import type { Mark } from '../../ports/record-store.ts';
import {
  encodeEnd,
  encodeEntry,
  encodeHeader,
  encodeManifest,
  encodeMark,
  type PacketEnd,
  type PacketHeader,
  type PacketManifest,
} from '../../record/packet/packet-lines.ts';

export interface PacketContents {
  readonly header: PacketHeader;
  readonly manifests: readonly PacketManifest[];
  readonly entries: AsyncIterable<SealedEntry>;
  /** Asked for after the last entry. */
  marks(): readonly Mark[];
}

export interface WrittenPacket extends PacketEnd {
  readonly bytes: number;
}

const pieceCharacters = 256 * 1024;

/** The caller keeps or discards the file. */
export async function writePacket(file: NewFile, contents: PacketContents): Promise<WrittenPacket> {
  const encoder = new TextEncoder();
  const digest = startSha256();
  let piece: string[] = [];
  let length = 0;
  let bytes = 0;
  const flush = () => {
    const chunk = encoder.encode(piece.join(''));
    digest.update(chunk);
    file.write(chunk);
    bytes += chunk.length;
    piece = [];
    length = 0;
  };
  const add = (line: string) => {
    piece.push(line, '\n');
    length += line.length + 1;
    if (length >= pieceCharacters) flush();
  };
  add(encodeHeader(contents.header));
  for (const manifest of contents.manifests) add(encodeManifest(manifest));
  let entries = 0;
  for await (const sealed of contents.entries) {
    add(encodeEntry(sealed));
    entries += 1;
  }
  const marks = contents.marks();
  for (const mark of marks) add(encodeMark(mark));
  flush();
  const end = { manifests: contents.manifests.length, marks: marks.length, entries, sha256: digest.hex() };
  const last = encoder.encode(`${encodeEnd(end)}\n`);
  file.write(last);
  return { ...end, bytes: bytes + last.length };
}
