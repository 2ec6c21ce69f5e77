// Reads a packet to its end and believes none of it: each entry is one, in the form that is hashed, with its own hash, and
// of a form that can be added up where its kind is known; each chain is whole from its first entry to its mark. What
// stands in the record already is not its business. Holds one line and a few words a chain or manifest.

import type { Line } from '../../bytes/lines.ts';
import { sha256Hex } from '../../bytes/sha256.ts';
import { noPrev, type ProvedEntry, type SealedEntry } from '../../ports/record-rules.ts';
import type { Mark } from '../../ports/record-store.ts';
import { printable } from '../../words/printable.ts';
import { type EntryKind, kindVersions } from '../entry.ts';
import { provedEntry, readSealed } from '../receive-entry.ts';
import { entryId } from '../seal-entry.ts';
import { manifestNameFault, sameManifestName } from './manifest-name.ts';
import { PacketFault } from './packet-fault.ts';
import { encodeManifest, type PacketHeader } from './packet-lines.ts';
import { maxChains, readPacket } from './read-packet.ts';
import { isStandIn } from './stand-in-name.ts';

export interface CheckedPacket {
  readonly header: PacketHeader;
  /** SHA-256 of each one's line, in order: whoever reads them again knows them by it. */
  readonly manifests: readonly string[];
  readonly entries: number;
  /** Sorted as they came. */
  readonly marks: readonly Mark[];
  /** Kinds that this version of the tool does not know, with how many entries of each. */
  readonly unknownKinds: ReadonlyMap<string, number>;
}

export type BodyFault = (kind: string, body: unknown) => string | undefined;

/** `bodyFault`: what is wrong with a body, of `entry-schema.ts`, which is loaded by whoever needs it. */
export function checkPacket(lines: Iterable<Line>, bodyFault: BodyFault): CheckedPacket {
  const entries = checkedEntries(lines, bodyFault);
  for (;;) {
    const { done, value } = entries.next();
    if (done) return value;
  }
}

/**
 * The same while it is read: each entry as soon as it was proved by itself and follows the one before it. Only at the
 * end, which gives back what the packet is, are they to be believed: until then it may throw a PacketFault.
 */
export function* checkedEntries(
  lines: Iterable<Line>,
  bodyFault: BodyFault,
): Generator<ProvedEntry, CheckedPacket> {
  let header: PacketHeader | undefined;
  const marks = new Map<string, Mark>();
  const ends = new Map<string, Mark>();
  const names = new Set<string>();
  const manifests: string[] = [];
  const unknownKinds = new Map<string, number>();
  let entries = 0;
  for (const part of readPacket(lines)) {
    const where = `line ${part.line}`;
    switch (part.kind) {
      case 'header':
        header = part.header;
        break;
      case 'manifest': {
        const { manifest: name, text, sha256 } = part.manifest;
        const fault = manifestNameFault(name);
        if (fault !== undefined || names.has(sameManifestName(name))) {
          throw unsound(fault ?? 'A manifest stands in the packet twice.', printable(name, 80), where);
        }
        if (sha256Hex(text) !== sha256) {
          throw unsound('A manifest is not the one that was digested.', printable(name, 80), where);
        }
        names.add(sameManifestName(name));
        manifests.push(sha256Hex(encodeManifest(part.manifest)));
        break;
      }
      case 'mark':
        if (marks.has(part.mark.laptop)) throw unsound('A chain has two marks.', part.mark.laptop, where);
        if (isStandIn(part.mark.laptop) !== (header?.names === 'replaced'))
          throw unsound('Chains with and without names stand in one packet.', part.mark.laptop, where);
        marks.set(part.mark.laptop, part.mark);
        break;
      case 'entry':
        entries += 1;
        yield checkEntry(part.sealed, { ends, unknownKinds, bodyFault, where });
        break;
      case 'end':
        break;
    }
  }
  for (const end of ends.values()) {
    if (!marks.has(end.laptop))
      throw unsound('A chain has no mark.', 'no mark', entryId(end.laptop, end.seq));
  }
  for (const mark of marks.values()) {
    const end = ends.get(mark.laptop);
    if (end?.seq === mark.seq && end.hash === mark.hash) continue;
    const seen = end === undefined ? 'no entry' : `ends with ${entryId(end.laptop, end.seq)}`;
    throw unsound('A chain does not end where the packet says.', seen, entryId(mark.laptop, mark.seq));
  }
  if (header === undefined) throw new PacketFault('not-a-packet', 'This file is not a packet of slotproof.');
  return { header, manifests, entries, marks: [...marks.values()], unknownKinds };
}

interface Checking {
  readonly ends: Map<string, Mark>;
  readonly unknownKinds: Map<string, number>;
  readonly bodyFault: BodyFault;
  readonly where: string;
}

const faults = {
  altered: 'The text of an entry is not the one that was hashed.',
  unreadable: 'The text of an entry cannot be read as one.',
  'not-canonical': 'The text of an entry is not in the form that is hashed (RFC 8785).',
} as const;

function checkEntry(sealed: SealedEntry, { ends, unknownKinds, bodyFault, where }: Checking): ProvedEntry {
  const read = readSealed(sealed);
  if ('fault' in read) throw unsound(faults[read.fault], printable(sealed.text, 60), where);
  const { entry } = read;
  const { laptop, seq, hash, prev } = entry;
  const id = entryId(laptop, seq);
  const end = ends.get(laptop);
  if (end === undefined && ends.size >= maxChains) {
    throw unsound('The packet holds more chains than any firm has laptops.', id, where);
  }
  if (seq !== (end?.seq ?? 0) + 1 || prev !== (end?.hash ?? noPrev)) {
    throw unsound('An entry does not follow the one before it.', id, where);
  }
  ends.set(laptop, { laptop, seq, hash });
  const known = Object.hasOwn(kindVersions, entry.kind) ? kindVersions[entry.kind as EntryKind] : 0;
  if (entry.kindVersion > known) {
    const name = printable(entry.kind, 60);
    if (unknownKinds.size < 1000 || unknownKinds.has(name))
      unknownKinds.set(name, (unknownKinds.get(name) ?? 0) + 1);
    return provedEntry(entry, sealed.text);
  }
  const fault = bodyFault(entry.kind, entry.body);
  if (fault !== undefined)
    throw unsound(
      'An entry does not have the form of its kind.',
      printable(`${entry.kind}: ${fault}`, 120),
      id,
    );
  return provedEntry(entry, sealed.text);
}

function unsound(summary: string, seen: string, where: string): PacketFault {
  return new PacketFault('packet-unsound', summary, { seen, where });
}
